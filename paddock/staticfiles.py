"""Hashed, compressed static files for production."""

import re
from collections.abc import Callable

from django.conf import settings
from whitenoise.storage import CompressedManifestStaticFilesStorage

# The folders of this project's own scripts: "paddock/", "board/", "tablet/" and so on.
OWN = tuple(
    f"{folder.name}/"
    for home in (settings.BASE_DIR / "paddock", *(settings.BASE_DIR / "jobs").iterdir())
    for folder in sorted((home / "static").glob("*/"))
)


class HashedStaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # untyped
    """Rewrites ES-module imports too, but only in this project's own scripts.

    A package's script may name an import inside a comment, which nothing can resolve.
    """

    support_js_module_import_aggregation = True

    def url_converter(
        self, name: str, hashed_files: dict[str, str], template: str | None = None
    ) -> Callable[[re.Match[str]], str]:
        if name.endswith(".js") and not name.startswith(OWN):
            return lambda match: match[0]
        convert: Callable[[re.Match[str]], str] = super().url_converter(
            name, hashed_files, template
        )
        return convert
