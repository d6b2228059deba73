"""Which tax lies on what: by the day of supply, by the customer, and as it was promised."""

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from iso4217 import Currency

from jobs.billing.arithmetic import PricingLine, Tax
from jobs.billing.arithmetic import price as arithmetic_price
from jobs.billing.einvoice import cii_xml
from jobs.billing.enums import Scheme
from jobs.billing.models import Document, PriceItem, TaxRate, Terms
from jobs.billing.money import exponent
from jobs.billing.selectors.payments import balance, document_open
from jobs.billing.services.absences import entry_cancel
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.tax_rates import (
    tax_rate_add,
    tax_rate_correct,
    tax_rate_end,
    tax_rate_remove,
)
from jobs.billing.tax_units import tax_rules, tax_unit
from jobs.people.models import Business, Customer
from tests.days import DATE

from .conftest import refreshed
from .schematron import CII, failures

TODAY = datetime.date(2026, 6, 13)


@pytest.fixture
def invoiced(day, payer, tuner):
    def invoiced(count=1):
        entries = refreshed(day.entries[:count])
        draft = invoice_draft(customer=Customer.objects.get(pk=payer.pk), entries=entries, by=tuner)
        return document_issue(document=draft, by=tuner)

    return invoiced


@pytest.fixture
def accepted(day, payer, tuner):
    def accepted():
        entries = refreshed(day.entries[:1])
        customer = Customer.objects.get(pk=payer.pk)
        draft = quote_draft(customer=customer, entries=entries, by=tuner)
        quote = document_issue(document=draft, by=tuner)
        quote_accept(quote=quote, name="x")
        return quote

    return accepted


def rates() -> list[tuple]:
    columns = "percent", "valid_from", "valid_to"
    found = TaxRate.objects.filter(code="standard").order_by("valid_from")
    return [(float(percent), *days) for percent, *days in found.values_list(*columns)]


def mistyped() -> TaxRate:
    """32 % from the day on, instead of 23 %."""
    return tax_rate_add(code="standard", name="VAT", percent=Decimal(32), valid_from=DATE)


FIRST = datetime.date(2020, 1, 1)


def test_a_mistyped_rate_is_corrected_and_the_days_invoices_go_out(day, invoiced):
    rate = mistyped()
    tax_rate_correct(rate=rate, percent=Decimal(25), valid_from=datetime.date(2026, 7, 1))
    assert rates() == [
        (23.0, FIRST, datetime.date(2026, 6, 30)),
        (25.0, datetime.date(2026, 7, 1), None),
    ]
    assert invoiced().tax_minor == 4862  # 23 % in 260.00


def test_a_mistyped_rate_is_removed_and_the_former_one_goes_on(invoiced):
    tax_rate_remove(rate=mistyped())
    assert rates() == [(23.0, FIRST, None)]
    assert invoiced().tax_minor == 4862


def test_a_rate_that_an_invoice_carries_stays_and_can_be_ended_after_it(day, invoiced):
    rate = mistyped()
    invoiced()
    with pytest.raises(ValidationError, match="An invoice for 2026-06-13 carries this rate"):
        tax_rate_correct(rate=rate, percent=Decimal(23))
    with pytest.raises(ValidationError, match="carries this rate"):
        tax_rate_remove(rate=rate)
    with pytest.raises(ValidationError, match="carries this rate"):
        tax_rate_end(rate=rate, valid_to=DATE - datetime.timedelta(days=1))
    tax_rate_end(rate=rate, valid_to=DATE)
    tax_rate_add(
        code="standard", name="VAT", percent=Decimal(23),
        valid_from=DATE + datetime.timedelta(days=1),
    )  # fmt: skip
    assert [row[0] for row in rates()] == [23.0, 32.0, 23.0]


def test_a_quote_alone_does_not_hold_a_rate(accepted):
    rate = mistyped()
    accepted()
    tax_rate_remove(rate=rate)
    assert rates() == [(23.0, FIRST, None)]


@pytest.mark.parametrize(("begins", "tax"), [(14, 4862), (13, 5200)])
def test_a_change_of_rate_applies_by_the_day_of_supply(invoiced, begins, tax):
    """25 % from the day after the trackday, or from that day on."""
    tax_rate_add(
        code="standard", name="VAT", percent=Decimal(25),
        valid_from=datetime.date(2026, 6, begins),
    )  # fmt: skip
    assert (invoiced().total_minor, invoiced(2).tax_minor) == (26000, tax)


@pytest.mark.parametrize(("included", "net"), [(True, 21138), (False, 26000)])
def test_reverse_charge_hangs_on_the_customer(day, payer, tuner, invoiced, included, net):
    """A business in Germany: no tax, and a price that includes 23 % is charged without it."""
    Terms.objects.update(prices_include_tax=included)
    Customer.objects.filter(pk=payer.pk).update(
        country="DE", tax_id="DE136695976", tax_status="reverse"
    )
    less = PriceItem.objects.create(code="less", name="Less", kind="discount", price="12.30")
    invoice = invoiced()
    assert (invoice.total_minor, invoice.tax_minor) == (net, 0)
    [tax] = invoice.taxes.all()
    assert (tax.category, tax.reason) == ("AE", "Reverse charge")
    assert failures(cii_xml(invoice), CII) == []
    charge_add(entry=day.entries[1], by=tuner, item=less)
    assert invoiced(2).total_minor == net - (1000 if included else 1230)
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x")
    assert (note.total_minor, document_open(invoice)) == (net, 0)
    assert failures(cii_xml(note), CII) == []


def test_reverse_charge_without_the_customers_vat_id_is_not_issued(payer, invoiced):
    Customer.objects.filter(pk=payer.pk).update(tax_status="reverse")
    with pytest.raises(ValidationError, match="BR-AE-02"):
        invoiced()


def test_an_exempt_customer_pays_no_tax_and_the_reason_is_printed(payer, invoiced):
    Customer.objects.filter(pk=payer.pk).update(tax_status="exempt", tax_reason="Forces abroad")
    invoice = invoiced()
    [tax] = invoice.taxes.all()
    assert (tax.category, tax.reason, invoice.total_minor) == ("E", "Forces abroad", 21138)
    assert failures(cii_xml(invoice), CII) == []


def test_a_customer_exempt_from_sales_tax(payer, invoiced):
    Terms.objects.update(scheme=Scheme.SALES_TAX, prices_include_tax=False)
    Customer.objects.filter(pk=payer.pk).update(tax_status="exempt", tax_reason="Resale")
    invoice = invoiced()
    assert (invoice.total_minor, invoice.tax_minor) == (26000, 0)


@pytest.mark.parametrize(("was", "promised"), [(True, 5184), (False, 6376)])
def test_what_an_accepted_quote_promised_outlives_the_switch(
    day, tuner, accepted, invoiced, was, promised
):
    """51.84 with tax stays 51.84, and 51.84 before tax stays 63.76."""
    Terms.objects.update(prices_include_tax=was)
    PriceItem.objects.filter(code="full-day").update(price="51.84")
    quote = accepted()
    assert quote.total_minor == promised
    Terms.objects.update(prices_include_tax=not was)
    PriceItem.objects.filter(code="full-day").update(price="99")
    invoice = invoiced()
    assert (invoice.total_minor, invoice.prices_include_tax) == (promised, was)


def test_what_a_quote_did_not_name_is_converted_beside_it(day, tuner, accepted, invoiced):
    """After the switch to prices before tax, 35.00 more is 43.05 on the invoice with tax."""
    quote = accepted()
    Terms.objects.update(prices_include_tax=False)
    charge_add(entry=day.entries[0], by=tuner, description="Tyre warmers", price=Decimal(35))
    assert invoiced().total_minor == quote.total_minor + 4305


def test_a_deposit_of_a_quote_in_the_other_mode_is_taken_off(
    day, payer, pay, tuner, accepted, invoiced
):
    PriceItem.objects.filter(code="full-day").update(price="245.91")
    Terms.objects.update(tax_advances=True)
    quote = accepted()
    deposit = deposit_request_issue(quote=quote, by=tuner)
    pay(deposit, 7377)
    Terms.objects.update(prices_include_tax=False)
    invoice = invoiced()
    assert (document_open(invoice), balance(payer)) == (17214, 17214)


def test_a_cancellation_charges_its_part_of_what_the_quote_promised(day, tuner, accepted, invoiced):
    """80 % of 260.00 with tax, once the list has prices before tax: 169.11 and 38.90 of tax."""
    accepted()
    Terms.objects.update(prices_include_tax=False)
    entry_cancel(entry=day.entries[0], absence="cancelled", by=tuner, on=DATE)
    invoice = invoiced()
    assert (invoice.net_minor, invoice.tax_minor) == (16911, 3890)


def test_a_customer_quoted_with_tax_who_pays_it_abroad_is_charged_without(
    payer, accepted, invoiced
):
    accepted()
    Customer.objects.filter(pk=payer.pk).update(
        country="DE", tax_id="DE136695976", tax_status="reverse"
    )
    assert invoiced().total_minor == 21138


@pytest.mark.parametrize(("included", "net", "tax"), [(True, 1800, 180), (False, 1980, 198)])
def test_tax_in_a_currency_without_cents_is_in_whole_units(
    day, payer, pay, tuner, invoiced, included, net, tax
):
    """1980 yen: tax of 10 % in it is 180, on it 198; three fifths of a yen round up."""
    Business.objects.update(currency="JPY")
    Terms.objects.update(prices_include_tax=included)
    TaxRate.objects.filter(code="standard").update(percent=10)
    PriceItem.objects.filter(code="full-day").update(price=1980)
    invoice = invoiced()
    assert (invoice.net_minor, invoice.tax_minor, invoice.total_minor) == (net, tax, net + tax)
    pay(invoice, net + tax)
    assert balance(payer) == 0
    PriceItem.objects.filter(code="full-day").update(price=1006)
    second = invoiced(2)
    # Before tax 100.6 of tax is 101. With tax 914.5 is 915, its tax 91.5 is 92, and one is
    # rounded off, so that the price stays 1006.
    whole, tax, rounded = (1006, 92, -1) if included else (1107, 101, 0)
    assert (second.total_minor, second.tax_minor, second.rounding_minor) == (whole, tax, rounded)
    assert failures(cii_xml(second), CII) == []
    assert Document.objects.filter(currency="JPY").count() == 2


@pytest.mark.parametrize(
    ("included", "price", "net", "tax", "rounded"),
    [
        (False, 1234, 123400, 33300, 0),  # 27 % of 1234 is 333.18
        (False, "1234.50", 123450, 33300, 0),  # 333.315
        (True, 1270, 100000, 27000, 0),
        (True, 1000, 78700, 21200, 100),  # 212.49 is 212, and 1000 stays 1000
        (True, "999.90", 78732, 21300, -42),  # 212.5764 is 213
    ],
)
def test_tax_in_forint_is_in_whole_forint(day, tuner, invoiced, included, price, net, tax, rounded):
    """ISO 4217 gives HUF two places; its tax is whole: ``data/tax_units.toml``. By hand."""
    Business.objects.update(currency="HUF")
    Terms.objects.update(prices_include_tax=included)
    TaxRate.objects.filter(code="standard").update(percent=27)
    PriceItem.objects.filter(code="full-day").update(price=Decimal(price))
    invoice = invoiced()
    found = (invoice.net_minor, invoice.tax_minor, invoice.rounding_minor)
    assert found == (net, tax, rounded)
    assert failures(cii_xml(invoice), CII) == []
    credit_note_issue(invoice=invoice, by=tuner, reason="x")
    assert document_open(invoice) == 0


def test_every_rule_of_tax_units_names_its_currency_and_source():
    for currency, rule in tax_rules().items():
        assert Currency(currency).exponent > 0  # without a minor unit amounts are whole already
        assert rule["units"] % 10 ** Currency(currency).exponent == 0
        assert rule["source"]
        assert rule["rule"]
    assert [tax_unit(one) for one in ("HUF", "TWD", "EUR", "JPY", "ISK")] == [100, 100, 1, 1, 1]
    assert [exponent(one) for one in ("JPY", "ISK", "KRW")] == [0, 0, 0]


def test_the_qualified_invoice_of_the_japanese_tax_agency():
    """40,000 at 8 % and 80,000 at 10 %: 3,200 and 8,000, rounded once for each rate (National
    Tax Agency, leaflet on the qualified invoice system; figures from memory)."""
    lines = [
        PricingLine(quantity=Decimal(1), price=Decimal(price), taxes=(Tax("S", Decimal(percent)),))
        for price, percent in ((15000, 8), (25000, 8), (80000, 10))
    ]
    priced = arithmetic_price(lines, places=0)
    assert [(b.tax.percent, b.taxable, b.amount) for b in priced.breakdowns] == [
        (10, 80000, 8000),
        (8, 40000, 3200),
    ]
    assert priced.totals.gross == 131200
