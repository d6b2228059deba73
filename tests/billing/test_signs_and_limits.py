"""Money at its limits: which way a sum goes, the last cent, what counts once, what is refused."""

import datetime
import uuid
from collections import defaultdict
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.business_terms import business_terms
from jobs.billing.einvoice import _party
from jobs.billing.enums import DocumentKind, PaymentKind, PaymentMethod, Scheme
from jobs.billing.models import Document, PriceItem, Series, TaxRate, Terms
from jobs.billing.money import Money
from jobs.billing.selectors.days import day_money
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.payments import OpenItem
from jobs.billing.selectors.prices import TaxTable
from jobs.billing.services.charges import charge_add
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import payment_withdraw
from jobs.billing.services.prices import terms_update
from jobs.garage.models import Fitting
from jobs.people.dates import business_today
from jobs.people.models import Business
from jobs.worklist.models import Checklist, ChecklistItem, TaskMark
from tests.days import local

from .conftest import refreshed

pytestmark = pytest.mark.django_db


def by_account() -> dict[str, int]:
    found: dict[str, int] = defaultdict(int)
    for line in journal(business_today(), business_today()):
        found[line.account] += line.debit_minor
    return found


def test_money_given_back_leaves_the_bank(invoice, pay):
    pay(invoice, 60000, method=PaymentMethod.CASH)
    pay(invoice, 8000, kind=PaymentKind.REFUND, method=PaymentMethod.CASH)
    assert (by_account()["cash"], by_account()["receivable"]) == (52000, 0)


def test_the_net_of_several_taxes_on_one_line_is_sold_once_and_credited(day, payer, tuner):
    """State and county tax are two rows of tax on the same net: sales are a credit of it."""
    Terms.objects.update(scheme=Scheme.SALES_TAX, prices_include_tax=False)
    TaxRate.objects.all().delete()
    for name, percent in (("State tax", "4"), ("County tax", "2.5")):
        TaxRate.objects.create(
            code="standard", name=name, percent=Decimal(percent),
            valid_from=datetime.date(2020, 1, 1),
        )  # fmt: skip
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    document_issue(document=draft, by=tuner)
    lines = journal(business_today(), business_today())
    assert sum(line.debit_minor for line in lines) == 0
    assert [line.debit_minor for line in lines if abs(line.debit_minor) == 52000] == [-52000]


def test_the_lines_of_a_document_are_numbered_from_one(invoice):
    assert [line.position for line in invoice.lines.order_by("position")] == [1, 2]


def test_a_discount_of_one_cent_is_given_on_one_cent(day, payer, tuner):
    PriceItem.objects.filter(code="full-day").update(price="0.01")
    whole = PriceItem.objects.create(code="gift", name="Gift", kind="discount", percent=100)
    for entry in day.entries:
        charge_add(entry=entry, by=tuner, item=whole)
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    assert [(row.quoted_minor, row.amount_minor) for row in draft.allowances.all()] == [(1, 1)] * 2


def test_a_part_fitted_is_charged_with_one_time_its_labour(day):
    Fitting.objects.create(
        bike=day.entries[0].bike, kind="spring", name="Spring 95", fitted_at=local(12),
        price_minor=0,
    )  # fmt: skip
    dues = due_charges(refreshed(day.entries))[day.entries[0].pk]
    (labour,) = [due for due in dues if due.kind == "labour"]
    assert (labour.quantity, labour.amount_minor(2)) == (1, 9500)


def test_only_the_bike_whose_last_task_is_done_is_handed_over(day, tuner):
    checklist = Checklist.objects.create(code="hand-over", name="Hand-over")
    checklist.packages.add(day.package)
    item = ChecklistItem.objects.create(
        checklist=checklist, code="list", text="Before/after list given", minutes=3, cadence="last"
    )
    TaskMark.objects.create(
        task_id=uuid.uuid4(), entry=day.entries[0], item=item, mark="done", by=tuner,
        done_at=local(17),
    )  # fmt: skip
    (payer,) = day_money(day.trackday, places=2)
    handed = {bike.entry.pk: not bike.obstacles for bike in payer.bikes}
    assert handed == {day.entries[0].pk: True, day.entries[1].pk: False}


@pytest.mark.parametrize(
    ("days_over", "open_minor", "overdue"),
    [(1, 100, True), (0, 100, False), (-1, 100, False), (1, 0, False), (1, -100, False)],
)
def test_overdue_is_what_is_open_after_its_day(days_over, open_minor, overdue):
    assert OpenItem(Document(), open_minor, days_over).is_overdue is overdue


@pytest.mark.parametrize("ways", [0, -1])
def test_an_amount_is_split_among_at_least_one(ways):
    with pytest.raises(ValueError, match="at least one"):
        Money(100, "EUR").split(ways)


def test_a_tax_without_a_rate_that_day_is_named(prices):
    with pytest.raises(ValidationError, match="No tax rate “standard” is valid on 2019-12-31"):
        TaxTable(Scheme.VAT).on("standard", datetime.date(2019, 12, 31))
    assert TaxTable(Scheme.VAT).on("standard", datetime.date(2020, 1, 1))[0]["percent"] == "23"


def test_two_rates_of_vat_on_one_day_are_refused(prices):
    TaxRate.objects.create(
        code="standard", name="VAT", percent=21, valid_from=datetime.date(2026, 1, 1)
    )
    with pytest.raises(ValidationError, match="VAT knows one"):
        TaxTable(Scheme.VAT).on("standard", datetime.date(2026, 6, 1))


def test_a_number_moves_its_own_series_only(invoice, day, payer, tuner):
    before = dict(Series.objects.values_list("kind", "next"))
    document_issue(document=quote_draft(customer=payer, entries=day.entries, by=tuner), by=tuner)
    after = dict(Series.objects.values_list("kind", "next"))
    assert after.pop(DocumentKind.QUOTE) == before.pop(DocumentKind.QUOTE, 1) + 1
    assert after == before
    assert before  # the invoice's series is there


def test_a_payment_taken_back_twice_keeps_the_first_reason(invoice, pay, tuner, office):
    payment = pay(invoice, 100)
    first = payment_withdraw(payment=payment, by=tuner, why="another customer's")
    again = payment_withdraw(payment=payment, by=office, why="twice")
    assert (again.withdrawn_why, again.withdrawn_by) == ("another customer's", tuner)
    assert again.withdrawn_at == first.withdrawn_at


@pytest.mark.parametrize(
    ("tax_id", "email", "known"),
    [("IE123", "desk@example.org", "IE123"), ("", "desk@example.org", "desk@example.org")],
)
def test_a_seller_outside_vat_is_known_by_registration_or_mail(
    day, payer, tuner, tax_id, email, known
):
    """EN 16931, BR-CO-26: one of the seller's identifiers is given."""
    Terms.objects.update(scheme=Scheme.NOT_REGISTERED)
    Business.objects.update(tax_id=tax_id, email=email)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    invoice = document_issue(document=draft, by=tuner)
    assert business_terms(invoice)["BG-4"]["legal_identifier"] == known


def test_a_final_invoice_names_the_prepayment_invoices_before_it_that_are_issued(
    day, payer, tuner, pay
):
    """EN 16931, BG-3: the preceding invoices; a draft is none."""
    Terms.objects.update(tax_advances=True)
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    quote = document_issue(document=draft, by=tuner)
    quote_accept(quote=quote, name="Maren")
    pay(deposit_request_issue(quote=quote, by=tuner), 15600)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    invoice = document_issue(document=draft, by=tuner)
    prepaid = Document.objects.get(kind=DocumentKind.PREPAYMENT_INVOICE)
    assert prepaid.number is not None
    named = [row["BT-25"] for row in business_terms(invoice)["BG-3"]]
    assert named == [prepaid.label]
    _another_draft_of(prepaid)
    assert [row["BT-25"] for row in business_terms(invoice)["BG-3"]] == named


def _another_draft_of(document: Document) -> None:
    draft = Document.objects.get(pk=document.pk)
    draft.pk, draft.number, draft.label, draft.reference = None, None, "", ""
    draft.issued_on = draft.issued_at = draft.due_on = None
    draft.save(force_insert=True)


def test_a_contact_with_nothing_but_a_name_is_left_out(prices):
    party = {"name": "Van", "contact": {"name": "Van"}}
    assert _party(party) == {"name": "Van"}
    party["contact"]["email"] = "desk@example.org"
    assert _party(party)["contacts"] == [{"name": "Van", "email": "desk@example.org"}]


@pytest.mark.parametrize(
    ("size", "why"), [(5 * 1024 * 1024, "not a PNG, JPEG or WebP"), (5 * 1024 * 1024 + 1, "5 MB")]
)
def test_a_logo_may_have_five_megabytes(prices, size, why):
    with pytest.raises(ValidationError, match=why):
        terms_update(logo=b"x" * size)
