import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from facturx import generate_ubl_xml

from jobs.billing.business_terms import business_terms
from jobs.billing.einvoice import cii_xml, library_terms
from jobs.billing.enums import Scheme, TaxCategory
from jobs.billing.models import Document, PriceItem, TaxRate, Terms
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue

from .schematron import CII, UBL, failures


def sound(document: Document) -> None:
    """CII and UBL of the same terms, each through its own published Schematron."""
    assert failures(cii_xml(document), CII) == []
    ubl = generate_ubl_xml(
        library_terms(business_terms(document)), level="en16931", check_schematron=None
    )
    assert failures(ubl, UBL) == []


def issued(customer, entries, tuner) -> Document:
    return document_issue(
        document=invoice_draft(customer=customer, entries=entries, by=tuner), by=tuner
    )


def test_the_schematron_check_itself_finds_a_fault(invoice):
    terms = library_terms(business_terms(invoice))
    terms["BT-115"] = "1.00"
    ubl = generate_ubl_xml(terms, level="en16931", check_schematron=None)
    assert any("BR-CO-16" in line for line in failures(ubl, UBL))


def test_a_tax_included_invoice(invoice):
    assert invoice.rounding_minor == 1
    sound(invoice)


def test_a_net_invoice_with_a_discount(day, payer, tuner, prices):
    Terms.objects.update(prices_include_tax=False)
    charge_add(entry=day.entries[0], by=tuner, item=PriceItem.objects.get(code="loyal"))
    invoice = issued(payer, day.entries, tuner)
    # By hand: 520.00 less 10 % of one bike's 260.00 = 494.00; 23 % = 113.62.
    assert (invoice.net_minor, invoice.tax_minor, invoice.payable_minor) == (49400, 11362, 60762)
    assert invoice.allowances_minor == 2600
    sound(invoice)


def test_a_credit_note(invoice, tuner):
    note = credit_note_issue(invoice=invoice, by=tuner, reason="double booking")
    assert (note.label, note.payable_minor) == ("C-00001", 52000)
    assert b"INV-00001" in cii_xml(note)
    sound(note)


@pytest.mark.parametrize("taxed_on_receipt", [False, True])
def test_a_deposit_and_the_final_invoice(day, payer, tuner, pay, taxed_on_receipt):
    Terms.objects.update(tax_advances=taxed_on_receipt)
    quote = document_issue(
        document=quote_draft(customer=payer, entries=day.entries, by=tuner), by=tuner
    )
    quote_accept(quote=quote, name="Maren Voss")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    assert deposit.payable_minor == 15600
    pay(deposit, 15600)
    final = issued(payer, day.entries, tuner)
    assert final.payable_minor == 36400
    sound(final)
    if taxed_on_receipt:
        prepayment = Document.objects.get(kind="prepayment")
        assert (prepayment.total_minor, prepayment.payable_minor) == (15600, 0)
        assert final.lines.last().quantity == -1
        assert b"P-00001" in cii_xml(final)
        assert b">386<" in cii_xml(prepayment)
        sound(prepayment)
    else:
        assert final.prepaid_minor == 15600


def test_a_zero_rated_one(day, payer, tuner):
    TaxRate.objects.filter(code="standard").update(category=TaxCategory.ZERO, percent=0)
    invoice = issued(payer, day.entries, tuner)
    assert (invoice.tax_minor, invoice.payable_minor) == (0, 52000)
    sound(invoice)


def test_an_exempt_line_beside_a_taxed_one(day, payer, tuner):
    TaxRate.objects.create(
        code="exempt",
        name="VAT",
        percent=0,
        category=TaxCategory.EXEMPT,
        exemption="Exempt by article 132 of Directive 2006/112/EC",
        valid_from=datetime.date(2020, 1, 1),
    )
    item = PriceItem.objects.create(
        code="lesson", name="Lesson", kind="labour", price="50", tax_code="exempt"
    )
    charge_add(entry=day.entries[0], by=tuner, item=item)
    sound(issued(payer, day.entries, tuner))


def test_not_registered(day, payer, tuner):
    Terms.objects.update(scheme=Scheme.NOT_REGISTERED)
    invoice = issued(payer, day.entries, tuner)
    assert (invoice.tax_minor, invoice.payable_minor) == (0, 52000)
    assert [row.category for row in invoice.taxes.all()] == ["O"]
    sound(invoice)


def test_sales_tax_of_state_and_county_gives_no_electronic_invoice(day, payer, tuner):
    Terms.objects.update(scheme=Scheme.SALES_TAX, prices_include_tax=False)
    TaxRate.objects.all().delete()
    for name, percent in (("State tax", "4"), ("County tax", "2.5")):
        TaxRate.objects.create(
            code="standard",
            name=name,
            percent=Decimal(percent),
            valid_from=datetime.date(2020, 1, 1),
        )
    invoice = issued(payer, day.entries, tuner)
    assert [(row.name, row.tax_minor) for row in invoice.taxes.all()] == [
        ("State tax", 2080),
        ("County tax", 1300),
    ]
    with pytest.raises(ValidationError, match="VAT invoices only"):
        cii_xml(invoice)
