"""A cancellation is told once: the day and the account both know it."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import PriceKind
from jobs.billing.models import Charge, PriceItem, Terms
from jobs.billing.selectors.days import day_entries, handed_over
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.travel import carriers_of
from jobs.billing.services.absences import day_call_off, entry_cancel, entry_comes_after_all
from jobs.billing.services.charges import charge_add, charge_withdraw
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from jobs.trackday.copying import DayPart, trackday_copy
from jobs.trackday.enums import Absence, Move
from jobs.trackday.models import BikeMove, Entry
from jobs.trackday.services import entry_remove
from jobs.worklist.selectors import day_read
from tests.days import DATE, local

from .conftest import refreshed


def charged(entry):
    [fresh] = refreshed([entry])
    return [(due.description, due.price, due.waived_why) for due in due_charges([fresh])[entry.pk]]


def on_the_day(day) -> list[int]:
    return sorted(day_read(day.trackday).by_entry)


def revision(day) -> int:
    day.trackday.refresh_from_db()
    return day.trackday.revision


def test_a_cancelled_bike_has_no_tasks_no_travel_and_no_place(day, tuner):
    first, second = day.entries
    before = revision(day)
    entry_cancel(entry=first, absence="cancelled", by=tuner, on=local(8).date())
    assert on_the_day(day) == [second.pk]
    assert revision(day) == before + 1
    assert carriers_of([day.trackday]) == {day.trackday.pk: [second.pk]}
    assert charged(first) == [("Full day: cancelled by the customer, 80 %", 208, "")]
    assert first.pk in handed_over(day_entries(day.trackday))
    copy = trackday_copy(
        source=day.trackday, on=DATE.replace(day=20), name="Next", event="",
        parts=[DayPart.TIMETABLE, DayPart.ENTRIES],
    )  # fmt: skip
    assert copy.entries.count() == 1


def test_told_again_the_later_reason_counts(day, tuner):
    entry = day.entries[0]
    entry_cancel(entry=entry, absence="cancelled", by=tuner, on=DATE)
    entry_cancel(entry=entry, absence="no_show", by=tuner)
    assert charged(entry) == [("Full day: did not come, 100 %", 260, "")]
    entry_cancel(entry=entry, absence="by_us", by=tuner)
    assert charged(entry) == [("Full day: cancelled by us, 0 %", 0, "cancelled by us")]
    assert Entry.objects.get(pk=entry.pk).absence == Absence.BY_US
    assert Charge.objects.filter(withdrawn_at=None).count() == 1


@pytest.mark.parametrize("how", ["the entry", "the charge"])
def test_it_comes_after_all_and_is_charged_as_booked(day, tuner, how):
    entry = day.entries[0]
    charge = entry_cancel(entry=entry, absence="cancelled", by=tuner)
    if how == "the entry":
        entry_comes_after_all(entry=entry, by=tuner)
    else:
        charge_withdraw(charge=charge, by=tuner)
    assert on_the_day(day) == [e.pk for e in day.entries]
    assert charged(entry) == [("Full day", 260, "")]


def test_a_package_without_a_price_can_be_cancelled_and_is_asked_for_its_price(day, payer, tuner):
    PriceItem.objects.filter(code="full-day").update(price=None)
    entry = day.entries[0]
    entry_cancel(entry=entry, absence="no_show", by=tuner)
    with pytest.raises(ValidationError, match=r"did not come, 100 % has no price yet"):
        invoice_draft(customer=payer, entries=refreshed([entry]), by=tuner)
    assert on_the_day(day) == [day.entries[1].pk]


def test_what_is_billed_is_credited_first(day, tuner, invoice):
    with pytest.raises(ValidationError, match="a credit note takes it back"):
        entry_cancel(entry=day.entries[0], absence="no_show", by=tuner)
    assert on_the_day(day) == [e.pk for e in day.entries]


def test_a_billed_cancellation_stays_billed_when_the_bike_comes(day, payer, tuner):
    entry = day.entries[0]
    entry_cancel(entry=entry, absence="no_show", by=tuner)
    document_issue(
        document=invoice_draft(customer=payer, entries=refreshed([entry]), by=tuner), by=tuner
    )
    entry_comes_after_all(entry=entry, by=tuner)
    assert on_the_day(day) == [e.pk for e in day.entries]
    assert charged(entry) == [("Full day: did not come, 100 %", 260, "")]


def test_a_weather_day_takes_every_bike_off_but_those_billed(day, payer, tuner):
    Terms.objects.update(weather_percent=10)
    billed, other = day.entries
    document_issue(
        document=invoice_draft(customer=payer, entries=refreshed([billed]), by=tuner), by=tuner
    )
    [(left, why)] = day_call_off(trackday=day.trackday, absence="weather", by=tuner)
    assert (left.pk, "on a document already" in why) == (billed.pk, True)
    assert on_the_day(day) == [billed.pk]
    assert charged(other) == [("Full day: called off for weather, 10 %", Decimal("26"), "")]


def test_an_entry_is_removed_only_while_nothing_is_recorded_of_it(day, tuner):
    moved, charged_more = day.entries
    charge_add(entry=charged_more, by=tuner, description="x", price=Decimal(1))
    BikeMove.objects.create(id=uuid.uuid4(), entry=moved, move=Move.ARRIVED, at=local(8), by=tuner)
    for entry in day.entries:
        with pytest.raises(ValidationError, match="cancel it instead"):
            entry_remove(entry=entry)
    fresh = Entry.objects.create(
        trackday=day.trackday, group=moved.group, bike=moved.bike, payer=moved.payer,
        package=moved.package, rider=charged_more.rider,
    )  # fmt: skip
    entry_remove(entry=fresh)
    assert Entry.objects.count() == 2


def test_the_kind_of_its_charge_is_a_package(day, tuner):
    charge = entry_cancel(entry=day.entries[0], absence="no_show", by=tuner)
    assert (charge.kind, charge.key) == (PriceKind.PACKAGE, "absence")
