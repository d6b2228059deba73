"""A document's files: the PDF in the letterhead, and the electronic invoice inside it."""

from django.template.loader import render_to_string
from django.utils import translation

from jobs.paper.documents import pdf_make

from . import einvoice
from .enums import FileKind
from .models import Document
from .selectors.document_page import document_page
from .selectors.prices import terms_get

STYLES = ("billing/document.css", "billing/print.css")


def document_file(document: Document, kind: FileKind) -> bytes | None:
    """The bytes of one file of an issued document; None where it has no such file.

    Raises jobs.paper.documents.PaperError where no PDF can be set on this machine; the
    work then waits in the outbox.
    """
    xml = einvoice.cii_xml(document) if einvoice.offered(document) else None
    if kind == FileKind.CII:
        return xml
    pdf = document_pdf(document)
    return einvoice.pdf_with_xml(pdf, xml, language=document.language) if xml else pdf


def document_pdf(document: Document) -> bytes:
    """PDF/A-3b from the frozen rows, nothing fetched from anywhere."""
    logo = terms_get().logo
    with translation.override(document.language):
        html = render_to_string(
            "billing/print.html",
            {"page": document_page(document), "logo": "image:logo" if logo else ""},
        )
    images = {"logo": bytes(logo)} if logo else {}
    return pdf_make(html=html, stylesheets=STYLES, images=images, variant="pdf/a-3b")
