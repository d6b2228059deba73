import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import PriceKind
from jobs.billing.models import Charge, PriceItem, Terms
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.services.absences import absence_percent, entry_cancel
from jobs.billing.services.charges import (
    charge_add,
    charge_overrule,
    charge_withdraw,
    day_close_for_billing,
)
from jobs.billing.services.deposits import quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.garage.models import Adjuster, Fitting
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment
from jobs.trackday.enums import Absence, Move
from jobs.trackday.models import BikeMove, ServicePackage
from jobs.worklist.derive import task_id
from jobs.worklist.models import Checklist, ChecklistItem, TaskMark
from jobs.worklist.services import mark_withdraw
from tests.days import day_build, local
from tests.queries import queries

from .conftest import customer_make, refreshed


def words(entry) -> list[tuple[str, str | None]]:
    (fresh,) = refreshed([entry])
    return [
        (due.description, None if due.price is None else f"{due.price.normalize():f}")
        for due in due_charges([fresh])[entry.pk]
    ]


def test_the_package_is_charged_from_the_booking(day):
    assert words(day.entries[0]) == [("Full day", "260")]


def test_a_spring_fitted_is_charged_with_its_labour(day):
    Fitting.objects.create(
        bike=day.entries[0].bike,
        kind="spring",
        name="Fork springs 9.5",
        price_minor=11800,
        fitted_at=local(12),
    )
    assert words(day.entries[0]) == [
        ("Full day", "260"),
        ("Fork springs 9.5", "118"),
        ("Spring swap", "95"),
    ]
    assert words(day.entries[1]) == [("Full day", "260")]


def test_a_part_without_a_price_stops_the_invoice_by_name(day, payer, tuner):
    Fitting.objects.create(
        bike=day.entries[0].bike, kind="tyre", name="Rear tyre", fitted_at=local(12)
    )
    with pytest.raises(ValidationError, match="Rear tyre has no price yet"):
        invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    fitted_yesterday = local(12) - datetime.timedelta(days=1)
    Fitting.objects.update(fitted_at=fitted_yesterday)
    assert words(day.entries[0]) == [("Full day", "260")]


def test_sessions_beyond_the_package_are_extra(day, tuner):
    ServicePackage.objects.update(follow_ups=1)
    entry = day.entries[0]
    adjuster = Adjuster.objects.filter(bike=entry.bike).first()
    sessions = [s for s in day.sessions if s.group_id == entry.group_id]
    for seq, session in enumerate((sessions[0], sessions[2], sessions[2], sessions[4]), 1):
        Adjustment.objects.create(
            entry=entry,
            session=session,
            adjuster=adjuster,
            kind=RowKind.CHANGE,
            seq=seq,
            to_position=seq,
            by=tuner,
            done_at=local(12),
        )
    assert words(entry) == [
        ("Full day", "260"),
        ("Extra (session 3)", "35"),
        ("Extra (session 5)", "35"),
    ]


def test_a_follow_up_beyond_the_package_is_extra_until_its_tick_is_withdrawn(day, tuner):
    ServicePackage.objects.update(follow_ups=1)
    entry = day.entries[0]
    sessions = [s for s in day.sessions if s.group_id == entry.group_id]
    checklist = Checklist.objects.create(code="between", name="Between", version=1)
    item = ChecklistItem.objects.create(
        checklist=checklist,
        code="follow-up",
        order=1,
        text="Follow-up",
        cadence="follow_up",
        minutes=5,
    )
    for session in sessions[:2]:
        tick = TaskMark.objects.create(
            entry=entry,
            session=session,
            item=item,
            mark="done",
            by=tuner,
            done_at=local(12),
            task_id=task_id(entry.pk, session.pk, "between", "follow-up"),
        )
    assert words(entry) == [("Full day", "260"), ("Extra (session 2)", "35")]
    mark_withdraw(mark=tick, by=tuner, at=local(12, 5))
    assert words(entry) == [("Full day", "260")]


def test_a_change_that_was_withdrawn_is_no_extra_session(day, tuner):
    ServicePackage.objects.update(follow_ups=0)
    entry = day.entries[0]
    session = next(s for s in day.sessions if s.group_id == entry.group_id)
    row = Adjustment.objects.create(
        entry=entry, session=session, adjuster=Adjuster.objects.filter(bike=entry.bike).first(),
        kind=RowKind.CHANGE, seq=1, to_position=1, by=tuner, done_at=local(12),
    )  # fmt: skip
    assert words(entry) == [("Full day", "260"), ("Extra (session 1)", "35")]
    row.state = RowState.WITHDRAWN
    row.save()
    assert words(entry) == [("Full day", "260")]


def test_a_charge_is_overruled_waived_and_put_back(day, tuner):
    entry = day.entries[0]
    charge_overrule(entry=entry, key="package", by=tuner, price=Decimal("200"))
    assert words(entry) == [("Full day", "200")]
    charge_overrule(entry=entry, key="package", by=tuner, waived_why="friend of the house")
    (due,) = due_charges(refreshed([entry]))[entry.pk]
    assert (due.waived_why, due.is_open) == ("friend of the house", False)
    charge_withdraw(charge=due.charge, by=tuner)
    assert words(entry) == [("Full day", "260")]
    assert Charge.objects.count() == 2  # both kept, withdrawn
    with pytest.raises(ValidationError, match="say why nothing is charged"):
        charge_overrule(entry=entry, key="package", by=tuner)


def test_what_is_billed_is_not_changed_but_credited(invoice, day, tuner):
    with pytest.raises(ValidationError, match="a credit note takes it back"):
        charge_overrule(entry=day.entries[0], key="package", by=tuner, price=Decimal(1))


def test_a_price_agreed_in_an_accepted_quote_stands(day, payer, tuner):
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    quote = document_issue(document=draft, by=tuner)
    PriceItem.objects.filter(code="full-day").update(price=300)
    assert words(day.entries[0]) == [("Full day", "300")]
    quote_accept(quote=quote, name="Maren")
    assert words(day.entries[0]) == [("Full day", "260")]


def test_a_hand_made_charge_is_entered_once_however_often_the_form_comes(day, tuner):
    import uuid

    charge_id = uuid.uuid4()
    for _attempt in range(2):
        charge_add(
            entry=day.entries[0],
            by=tuner,
            description="Weld",
            price=Decimal(20),
            charge_id=charge_id,
        )
    assert words(day.entries[0]) == [("Full day", "260"), ("Weld", "20")]
    with pytest.raises(ValidationError, match="Say what is charged"):
        charge_add(entry=day.entries[0], by=tuner)


def test_a_fixed_discount_is_divided_among_the_taxes_in_proportion_to_the_lines(day, payer, tuner):
    item = PriceItem.objects.create(code="ten", name="Ten off", kind="discount", price="10")
    reduced = PriceItem.objects.create(
        code="book", name="Book", kind="part", price="130", tax_code="reduced"
    )
    entry = day.entries[0]
    charge_add(entry=entry, by=tuner, item=reduced)
    charge_add(entry=entry, by=tuner, item=item)
    invoice = document_issue(
        document=invoice_draft(customer=payer, entries=refreshed([entry]), by=tuner), by=tuner
    )
    # 260.00 at 23 % and 130.00 at 13.5 %: two thirds and one third of the 10.00.
    shares = {row.taxes[0]["percent"]: row.quoted_minor for row in invoice.allowances.all()}
    assert shares == {"23": 667, "13.5": 333}
    assert invoice.payable_minor == 38000


@pytest.fixture
def travel(prices):
    item = PriceItem.objects.create(
        code="travel", name="Travel", kind=PriceKind.TRAVEL, travel="shared", price="100"
    )
    Terms.objects.update(travel=item)
    return item


def test_travel_is_shared_per_customer_and_frozen_when_the_day_closes(travel, tuner):
    ada, ben, cid = (customer_make(name) for name in ("Ada", "Ben", "Cid"))
    day = day_build(bikes=4, customers=[ada, ben, cid])  # Ada has two bikes
    shares = {
        entry.pk: due.price
        for entry, due in (
            (e, d)
            for e in day.entries
            for d in due_charges(refreshed([e]))[e.pk]
            if d.key == "travel"
        )
    }
    first = {entry.payer_id: entry for entry in reversed(day.entries)}
    assert shares == {
        first[ada.pk].pk: Decimal("33.34"),
        first[ben.pk].pk: Decimal("33.33"),
        first[cid.pk].pk: Decimal("33.33"),
    }
    for entry in (first[ada.pk], first[ben.pk]):
        BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=tuner)
    assert day_close_for_billing(trackday=day.trackday, by=tuner) == 2
    assert words(first[ada.pk])[1] == ("Travel", "50")
    assert words(first[cid.pk]) == [("Full day", "260")]
    with pytest.raises(ValidationError, match="closed for billing"):
        day_close_for_billing(trackday=day.trackday, by=tuner)


def test_travel_by_distance_counts_there_and_back(travel, day):
    PriceItem.objects.filter(pk=travel.pk).update(travel="distance", price="0.5", unit="KMT")
    venue = day.trackday.venue
    venue.distance_km = Decimal("62")
    venue.save()
    (fresh,) = refreshed([day.entries[0]])
    due = due_charges([fresh])[fresh.pk][-1]
    assert (due.quantity, due.amount_minor(2)) == (Decimal(124), 6200)


@pytest.mark.parametrize(
    ("absence", "days", "percent"),
    [
        (Absence.CANCELLED, 31, 0),
        (Absence.CANCELLED, 30, 0),
        (Absence.CANCELLED, 29, 25),
        (Absence.CANCELLED, 13, 50),
        (Absence.CANCELLED, 0, 80),
        (Absence.CANCELLED, -1, 80),
        (Absence.NO_SHOW, 0, 100),
        (Absence.WEATHER, 0, 0),
        (Absence.BY_US, 0, 0),
    ],
)
def test_the_cancellation_scale_is_the_businesss_own(prices, absence, days, percent):
    Terms.objects.update(cancellation_scale=[[30, 0], [14, 25], [7, 50], [0, 80]])
    assert absence_percent(absence, days) == percent


def test_an_absent_bike_is_charged_its_part_and_nothing_else(travel, day, payer, tuner):
    entry = day.entries[0]
    entry_cancel(entry=entry, absence=Absence.CANCELLED, by=tuner, on=local(8).date())
    assert words(entry) == [("Full day: cancelled by the customer, 80 %", "208")]
    invoice = invoice_draft(customer=payer, entries=refreshed([entry]), by=tuner)
    assert invoice.payable_minor == 20800


def test_sixty_entries_need_as_many_queries_as_one(travel, payer):
    counts = []
    for bikes in (1, 3, 60):
        day = day_build(bikes=bikes, customers=[payer])
        fresh = refreshed(day.entries)
        with queries() as asked:
            due_charges(fresh)
        counts.append(len(asked))
    assert counts == [14, 14, 14]
