"""What a document says was done, and what was only recommended."""

from jobs.billing.selectors.document_page import document_page
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.garage.models import Adjuster
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Order
from tests.days import local

from .conftest import refreshed


def test_done_and_recommended_stand_under_their_bike_in_the_trades_words(day, payer, tuner):
    entry = day.entries[0]
    rear = Adjuster.objects.get(bike=entry.bike, end="rear", function="rebound")
    fork = Adjuster.objects.get(bike=entry.bike, end="front", function="rebound")
    Adjustment.objects.create(
        entry=entry,
        adjuster=rear,
        kind=RowKind.CHANGE,
        seq=1,
        from_position=12,
        to_position=9,
        reason="kicks on the exit",
        by=tuner,
        done_at=local(11),
    )
    Adjustment.objects.create(
        entry=entry,
        adjuster=rear,
        kind=RowKind.CHANGE,
        state=RowState.WITHDRAWN,
        from_position=9,
        to_position=7,
        by=tuner,
        done_at=local(12),
    )
    Order.objects.create(
        entry=entry, adjuster=fork, from_position=10, to_position=8, by=tuner, done_at=local(15)
    )
    draft = invoice_draft(customer=payer, entries=refreshed(day.entries), by=tuner)
    first, second = document_page(draft).parts
    assert first.story["done"] == [
        "Rear rebound from 12 to 9 clicks out from closed: kicks on the exit"
    ]
    assert first.story["recommended"] == [
        "Front rebound, left leg from 10 to 8 clicks out from closed"
    ]
    assert (second.story["done"], second.story["recommended"]) == ([], [])


def change(entry, adjuster, before, after, tuner, **more):
    return Adjustment.objects.create(
        entry=entry, adjuster=adjuster, kind=RowKind.CHANGE, seq=adjuster.pk, by=tuner,
        from_position=before, to_position=after, done_at=local(11), **more,
    )  # fmt: skip


def test_the_same_change_on_both_legs_is_one_line(day, payer, tuner):
    entry = day.entries[0]
    left = Adjuster.objects.get(bike=entry.bike, end="front", function="rebound")
    right = Adjuster.objects.get(pk=left.pk)
    right.pk, right.leg = None, "right"
    right.save()
    change(entry, left, 10, 8, tuner, reason="slow to rise")
    change(entry, right, 10, 8, tuner, reason="slow to rise")
    [part] = document_page(
        invoice_draft(customer=payer, entries=refreshed(day.entries[:1]), by=tuner)
    ).parts
    assert part.story["done"] == [
        "Front rebound, both legs from 10 to 8 clicks out from closed: slow to rise"
    ]


def test_another_change_on_the_other_leg_is_a_line_of_its_own(day, payer, tuner):
    entry = day.entries[0]
    left = Adjuster.objects.get(bike=entry.bike, end="front", function="rebound")
    right = Adjuster.objects.get(pk=left.pk)
    right.pk, right.leg = None, "right"
    right.save()
    change(entry, left, 10, 8, tuner)
    change(entry, right, 10, 9, tuner)
    draft = invoice_draft(customer=payer, entries=refreshed([entry]), by=tuner)
    assert [words.split(",")[1] for words in draft.story[0]["done"]] == [
        " left leg from 10 to 8 clicks out from closed",
        " right leg from 10 to 9 clicks out from closed",
    ]


def test_a_quote_says_nothing_of_work_done(day, payer, tuner):
    entry = day.entries[0]
    rear = Adjuster.objects.get(bike=entry.bike, end="rear", function="rebound")
    change(entry, rear, 12, 9, tuner)
    quote = quote_draft(customer=payer, entries=refreshed([entry]), by=tuner)
    [part] = quote.story
    assert (part["done"], part["recommended"], part["bike"]) == ([], [], "Corrib R1")
