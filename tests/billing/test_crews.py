"""Documents of a crew's days have numbers of their own, where the crew has a series for them."""

import datetime
from xml.etree import ElementTree

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Document, Series
from jobs.billing.saft.build import saft_xml
from jobs.billing.selectors.journal import journal
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.months import month_close
from jobs.billing.services.series import series_begin, series_of
from jobs.people.models import NamedCrew
from jobs.trackday.models import Trackday
from tests.billing.conftest import refreshed
from tests.days import DATE, day_build

pytestmark = pytest.mark.django_db
INVOICE, CREDIT = DocumentKind.INVOICE, DocumentKind.CREDIT_NOTE


@pytest.fixture
def crew(prices) -> NamedCrew:
    """The second van: invoices V2-00001 on; quotes and the others as the business."""
    crew = NamedCrew.objects.create(name="Van 2")
    series_begin(kind=INVOICE, letters="V2-", crew=crew)
    return crew


def day_of(crew: NamedCrew | None, payer, *, days: int = 0):
    day = day_build(bikes=2, customers=[payer])
    Trackday.objects.filter(pk=day.trackday.pk).update(
        named_crew=crew, name=f"Of {crew}", date=DATE + datetime.timedelta(days=days)
    )
    day.trackday.refresh_from_db()
    return day


def issued(day, payer, tuner, entries) -> Document:
    draft = invoice_draft(customer=payer, entries=refreshed(entries), by=tuner)
    return document_issue(document=draft, by=tuner)


def test_each_crew_counts_on_its_own_and_no_number_is_given_twice(crew, payer, tuner):
    ours, theirs = day_of(None, payer), day_of(crew, payer, days=1)
    labels = [
        issued(day, payer, tuner, [day.entries[nth]]).label
        for nth in (0, 1)
        for day in (ours, theirs)
    ]
    assert labels == ["INV-00001", "V2-00001", "INV-00002", "V2-00002"]
    references = Document.objects.filter(kind=INVOICE).values_list("reference", flat=True)
    assert len(set(references)) == 4
    assert {series.next for series in Series.objects.filter(kind=INVOICE)} == {3}


def test_a_kind_without_letters_of_the_crew_is_numbered_as_the_business(crew, payer, tuner):
    day = day_of(crew, payer)
    quote = document_issue(
        document=quote_draft(customer=payer, entries=refreshed(day.entries), by=tuner), by=tuner
    )
    quote_accept(quote=quote, name="x")
    deposit = deposit_request_issue(quote=quote, by=tuner)
    invoice = issued(day, payer, tuner, day.entries)
    note = credit_note_issue(invoice=invoice, by=tuner, reason="x")
    assert [one.label for one in (quote, deposit, invoice, note)] == [
        "Q-00001", "D-00001", "V2-00001", "C-00001",
    ]  # fmt: skip
    series_begin(kind=CREDIT, letters="V2C-", crew=crew)
    again = issued(day, payer, tuner, day.entries)
    assert credit_note_issue(invoice=again, by=tuner, reason="x").label == "V2C-00001"


def test_a_draft_takes_the_number_of_the_crew_its_day_has_when_it_is_issued(crew, payer, tuner):
    day = day_of(None, payer)
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    Trackday.objects.filter(pk=day.trackday.pk).update(named_crew=crew)
    assert document_issue(document=draft, by=tuner).label == "V2-00001"
    assert series_of(INVOICE).next == 1


def test_days_of_two_crews_on_one_invoice_are_numbered_as_the_business(crew, payer, tuner):
    other = NamedCrew.objects.create(name="Van 3")
    days = [day_of(crew, payer), day_of(crew, payer, days=1), day_of(other, payer, days=2)]
    first = [day.entries[0] for day in days]
    assert issued(None, payer, tuner, first).label == "INV-00001"
    assert issued(None, payer, tuner, [day.entries[1] for day in days[:2]]).label == "V2-00001"


def test_the_days_invoices_in_one_go_take_the_crews_numbers(crew, payer, tuner):
    day = day_of(crew, payer)
    result = day_invoices_issue(trackday=day.trackday, by=tuner, one_per_bike=True)
    assert [one.label for one in result.invoices] == ["V2-00001", "V2-00002"]


def test_a_number_that_is_refused_leaves_no_gap_in_the_crews_series(crew, payer, tuner):
    day = day_of(crew, payer)
    payer.street = ""
    payer.save()
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    with pytest.raises(ValidationError, match="has no address"):
        document_issue(document=draft, by=tuner)
    payer.street = "3 Tannery Row"
    payer.save()
    assert document_issue(document=draft, by=tuner).label == "V2-00001"


@pytest.mark.parametrize(
    ("letters", "why"),
    [
        ("INV-", "taken for a number of another crew: Invoice."),
        ("v-2/", "taken for a number of another crew: Invoice, Van 2."),
        ("Q-", "taken for a number of another kind: Quote."),
    ],
)
def test_letters_of_another_crew_or_of_the_business_are_refused(crew, letters, why):
    other = NamedCrew.objects.create(name="Van 3")
    with pytest.raises(ValidationError) as caught:
        series_begin(kind=INVOICE, letters=letters, crew=other)
    assert caught.value.message_dict["letters"][0].endswith(why)


def test_letters_a_crew_once_printed_are_given_to_nobody_else(crew, payer, tuner):
    day = day_of(crew, payer)
    issued(day, payer, tuner, day.entries)
    series_begin(kind=INVOICE, letters="W-", crew=crew)
    with pytest.raises(ValidationError, match="another crew: Invoice, Van 2"):
        series_begin(kind=INVOICE, letters="V2-")
    assert series_begin(kind=INVOICE, letters="V2-", crew=crew).next == 2


def test_the_database_keeps_series_and_numbers_apart(crew, payer, tuner, invoice):
    other = NamedCrew.objects.create(name="Van 3")
    refusals = [
        lambda: Series.objects.filter(crew=crew).update(crew=other),
        lambda: Series.objects.filter(crew=crew).update(crew=None),
        lambda: Series.objects.create(kind=INVOICE, crew=crew, prefix="X-"),
        lambda: Series.objects.create(kind=INVOICE, prefix="X-"),
        lambda: crew.delete(),
    ]
    for change in refusals:
        with pytest.raises(IntegrityError), transaction.atomic():
            change()
    Series.objects.filter(crew=crew).update(prefix="INV-")  # past the service
    day = day_of(crew, payer)
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    with pytest.raises(IntegrityError), transaction.atomic():
        document_issue(document=draft, by=tuner)


def test_a_closed_month_refuses_a_crews_invoice_and_keeps_its_number(crew, payer, tuner):
    day = day_of(crew, payer)
    past = datetime.date(2026, 9, 30)
    first = invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    document_issue(document=first, by=tuner, on=past)
    month_close(month=past, by=tuner)
    second = invoice_draft(customer=payer, entries=refreshed(day.entries[1:]), by=tuner)
    with pytest.raises(ValidationError, match="closed"):
        document_issue(document=second, by=tuner, on=past)
    assert document_issue(document=second, by=tuner).label == "V2-00002"


def test_journal_and_audit_file_tell_both_series(crew, payer, tuner, pay):
    ours, theirs = day_of(None, payer), day_of(crew, payer, days=1)
    for day in (ours, theirs):
        pay(issued(day, payer, tuner, day.entries), 10000)
    day = Document.objects.filter(kind=INVOICE).first().issued_on
    sums: dict[str, int] = {}
    for line in journal(day, day):
        sums[line.transaction] = sums.get(line.transaction, 0) + line.debit_minor
    assert {"INV-00001", "V2-00001"} <= set(sums)
    assert set(sums.values()) == {0}
    told = ElementTree.fromstring(saft_xml(day, day))
    numbers = [one.text for one in told.iter() if one.tag.endswith("InvoiceNo")]
    assert numbers.count("INV-00001") == numbers.count("V2-00001") == 1
