"""HTML to PDF. WeasyPrint is imported with the first document: that takes a second."""

import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders
from PIL import ImageFile
from pypdf import PdfReader

INSTALL = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class PaperError(Exception):
    """No PDF can be made of this, or not on this machine; the text says why."""


def pdf_make(
    *,
    html: str,
    stylesheets: tuple[str, ...] = (),
    images: Mapping[str, bytes] | None = None,
    variant: str | None = None,
) -> bytes:
    """Render ``html`` as a PDF.

    ``stylesheets`` are named as in ``{% static %}``; ``images`` are addressed in the
    document as ``image:name``; ``variant`` is WeasyPrint's, such as ``"pdf/a-3b"``.

    Nothing else is ever fetched: a document that names any other address is refused with
    a PaperError, so that no text somebody typed makes the server fetch an address. It is a
    PaperError too where Pango is not installed.
    """
    weasyprint = _weasyprint()
    fetcher = _fetcher(images or {})
    try:
        pdf: bytes = weasyprint.HTML(string=html, url_fetcher=fetcher).write_pdf(
            stylesheets=[
                weasyprint.CSS(string=_static(name), url_fetcher=fetcher) for name in stylesheets
            ],
            pdf_variant=variant,
            pdf_tags=True,  # headings, tables and lists are named for a screen reader
        )
    except weasyprint.urls.FatalURLFetchingError as error:
        raise PaperError(f"the document asks for something from outside: {error}") from None
    return pdf


def page_count(pdf: bytes) -> int:
    """How many pages a PDF has."""
    return len(PdfReader(io.BytesIO(pdf)).pages)


def _weasyprint() -> Any:
    """WeasyPrint, without the global setting of Pillow that importing it changes."""
    try:
        import weasyprint
    except OSError as error:
        raise PaperError(f"PDFs need Pango ({INSTALL}): {error}") from None
    # The import makes Pillow accept truncated pictures everywhere: half a photo would be kept.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    return weasyprint


def why_no_pdf() -> str:
    """Why no PDF can be made on this machine; empty where one can."""
    try:
        _weasyprint()
    except PaperError as error:
        return str(error)
    return ""


def _fetcher(images: Mapping[str, bytes]) -> Any:
    """Answers ``image:name`` and nothing else; anything else ends the rendering."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OnlyAttached(URLFetcher):  # type: ignore[misc]  # untyped
        def fetch(self, url: str, headers: Any = None) -> Any:
            scheme, _, name = url.partition(":")
            if scheme != "image" or name not in images:
                raise ValueError(url)
            return URLFetcherResponse(url, images[name])

    return OnlyAttached(fail_on_errors=True)


def _static(name: str) -> str:
    found = finders.find(name)
    if not found:
        raise PaperError(f"there is no stylesheet {name}")
    return Path(found).read_text()
