import datetime
import hashlib
import io

import pytest
import zxingcpp
from facturx import get_facturx_xml_from_pdf
from lxml import etree
from PIL import Image
from pypdf import PdfReader

from jobs.billing.einvoice import cii_xml
from jobs.billing.models import DocumentFile, Terms
from jobs.billing.printing import document_pdf
from jobs.billing.selectors.document_page import document_page
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.mail import document_mail
from jobs.billing.services.prices import terms_update
from jobs.outbox.models import Job, Mail
from jobs.outbox.registry import HANDLERS, JobInput
from jobs.paper.documents import PaperError

from .conftest import IBAN
from .schematron import CII, failures


def run(kind: str) -> None:
    job = Job.objects.get(handler="billing.file", payload__kind=kind)
    finish = HANDLERS[job.handler](JobInput(id=job.pk, payload=job.payload))
    if finish is not None:
        finish()


@pytest.mark.pdf
def test_the_pdf_carries_the_very_invoice_as_xml(invoice):
    run("pdf")
    pdf = DocumentFile.objects.get(document=invoice, kind="pdf")
    name, xml = get_facturx_xml_from_pdf(bytes(pdf.content), check_xsd=True)
    assert name == "factur-x.xml"
    assert etree.tostring(etree.fromstring(xml), method="c14n") == etree.tostring(
        etree.fromstring(cii_xml(invoice)), method="c14n"
    )
    assert failures(xml, CII) == []
    assert pdf.sha256 == hashlib.sha256(bytes(pdf.content)).hexdigest()


@pytest.mark.pdf
def test_the_pdf_says_what_the_page_says_and_is_archival(invoice):
    run("pdf")
    content = bytes(DocumentFile.objects.get(document=invoice, kind="pdf").content)
    reader = PdfReader(io.BytesIO(content))
    text = " ".join(page.extract_text() for page in reader.pages)
    for words in ("INV-00001", "Corrib R1", "Maren Voss", "€520.00", "€422.76", "€97.23"):
        assert words in text
    metadata = reader.xmp_metadata.rdf_root.toxml()
    assert "pdfaid" in metadata
    assert reader.trailer["/Root"]["/OutputIntents"]


def test_a_file_made_twice_is_kept_once(invoice):
    run("cii")
    run("cii")
    (kept,) = DocumentFile.objects.filter(document=invoice)
    assert bytes(kept.content) == cii_xml(invoice)


def test_mail_waits_for_no_file_and_goes_once(invoice):
    mail = Mail.objects.get()
    assert mail.to == "maren@example.org"
    assert "€520.00" in mail.text
    assert "/document/" in mail.text
    document_mail(document=invoice)
    assert Mail.objects.count() == 1
    document_mail(document=invoice, again="asked for")
    assert Mail.objects.count() == 2


def test_where_no_pdf_can_be_set_the_xml_is_made_and_the_pdf_waits(invoice, monkeypatch):
    def absent(**_options):
        raise PaperError("no Pango here")

    monkeypatch.setattr("jobs.billing.printing.pdf_make", absent)
    with pytest.raises(PaperError):
        run("pdf")
    run("cii")
    assert [file.kind for file in DocumentFile.objects.all()] == ["cii"]


@pytest.mark.pdf
def test_the_letterhead_is_the_businesss_own(day, payer, tuner):
    picture = io.BytesIO()
    Image.new("RGB", (1200, 300), "teal").save(picture, format="JPEG")
    terms_update(logo=picture.getvalue(), footer="Registered in Ballyreen")
    assert bytes(Terms.objects.get().logo).startswith(b"\x89PNG")
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    issued = document_issue(document=draft, by=tuner)
    reader = PdfReader(io.BytesIO(document_pdf(issued)))
    assert len(reader.pages[0].images) == 1
    assert "Registered in Ballyreen" in reader.pages[0].extract_text()


def test_dates_and_sums_are_written_in_the_customers_language(day, payer, tuner):
    payer.language = "de"
    payer.save()
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    page = document_page(document_issue(document=draft, by=tuner, on=datetime.date(2026, 6, 13)))
    assert page.issued_on == "13. Juni 2026"
    assert page.payable == "520,00\xa0€"


def test_the_code_on_an_invoice_pays_that_invoice(invoice):
    picture = io.BytesIO()
    document_page(invoice).code.save(picture, kind="png", scale=6)
    (found,) = zxingcpp.read_barcodes(Image.open(picture))
    assert found.text.split("\n") == [
        *("BCD", "002", "1", "SCT", ""),
        *("Brookfield Suspension", IBAN, "EUR520", "", invoice.reference),
    ]


@pytest.mark.pdf
def test_the_pdf_is_tagged_names_countries_and_keeps_its_words_apart(day, payer, tuner):
    """Headings, tables and cells are named for a screen reader (ISO 32000-1, 14.8)."""
    payer.country, payer.tax_id = "DE", "DE136695976"
    payer.save()
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    document_issue(document=draft, by=tuner, on=datetime.date(2026, 9, 29))
    run("pdf")
    reader = PdfReader(io.BytesIO(bytes(DocumentFile.objects.get(kind="pdf").content)))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    kinds = set()

    def walk(node):
        node = node.get_object()
        if "/S" in node:
            kinds.add(node["/S"])
        below = node.get("/K", [])
        for child in below if isinstance(below, list) else [below]:
            if hasattr(child.get_object(), "get"):
                walk(child)

    walk(root["/StructTreeRoot"])
    assert {"/H1", "/Table", "/TR", "/TH", "/TD"} <= kinds
    text = " ".join(reader.pages[0].extract_text().split())
    for words in ("Ireland", "Germany", "VAT ID DE136695976", "VAT ID IE6388047V"):
        assert words in text
    lines = [" ".join(line.split()) for line in reader.pages[0].extract_text().splitlines()]
    for words in ("Work done on", "Please pay by", "13 June 2026", "29 September 2026"):
        assert any(words in line for line in lines)  # neither labels nor dates are broken


def test_the_mail_of_an_invoice_says_for_how_much(invoice):
    assert "Invoice INV-00001 for €520.00" in Mail.objects.get().text.replace("\xa0", " ")
