"""Hashed, compressed static files for production."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

OWN = ("paddock/", "board/", "portal/", "desk/", "api/")


class HashedStaticFiles(CompressedManifestStaticFilesStorage):
    """Rewrites ES-module imports too, but only in this project's own scripts.

    A package's script may name an import inside a comment, which nothing can resolve.
    """

    support_js_module_import_aggregation = True

    def url_converter(self, name, hashed_files, template=None):  # noqa: ANN001, ANN201
        if name.endswith(".js") and not name.startswith(OWN):
            return lambda match: match[0]
        return super().url_converter(name, hashed_files, template)
