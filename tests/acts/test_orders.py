"""A helper changes an adjuster by order only, and to the ordered position only."""

from decimal import Decimal

import pytest

from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Order
from tests.acts.doing import do
from tests.setups.writing import stands_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def rear(day, tuner):
    """Rear rebound, counted at 14 clicks and ordered to 11."""
    entry = day.entries[0]
    rear = Adjuster.objects.get(bike=entry.bike_id, end="rear", function="rebound")
    do("count", tuner, day.trackday, entry=entry.pk, counts=[moved(rear, position="14")])
    ordered = do("order", tuner, day.trackday, entry=entry.pk, moves=[move(rear, "14", "11")])
    assert ordered.outcome == "applied", ordered.answer
    return rear


def moved(adjuster, **more):
    return {"adjuster": adjuster.pk, **more}


def move(adjuster, from_, to):
    return moved(adjuster, from_position=from_, to_position=to)


def carry_out(day, by, adjuster, from_, to):
    order = Order.objects.get()
    return do(
        "change", by, day.trackday, entry=day.entries[0].pk, order=str(order.pk),
        moves=[move(adjuster, from_, to)],
    )  # fmt: skip


def test_an_order_is_carried_out_to_its_position(day, helper, rear):
    assert carry_out(day, helper, rear, "14", "11").outcome == "applied"
    assert stands_at(rear) == Decimal(11)
    assert Adjustment.objects.get(kind="change").order == Order.objects.get()


@pytest.mark.parametrize("to", ["12", "10", "17"])
def test_an_order_is_not_carried_out_to_another_position(day, helper, rear, to):
    act = carry_out(day, helper, rear, "14", to)
    assert act.outcome == "refused"
    assert act.answer["text"] == "That is not what the order says: ask the tuner."
    assert stands_at(rear) == Decimal(14)


def test_an_order_is_not_carried_out_on_another_adjuster(day, helper, tuner, rear):
    other = Adjuster.objects.get(bike=rear.bike_id, end="rear", function="compression")
    count = [moved(other, position="14")]
    do("count", tuner, day.trackday, entry=day.entries[0].pk, counts=count)
    act = carry_out(day, helper, other, "14", "11")
    assert act.answer["text"] == "That is not what the order says: ask the tuner."
    assert stands_at(other) == Decimal(14)


def test_a_withdrawn_order_is_not_carried_out(day, helper, tuner, rear):
    order = Order.objects.get()
    assert do("withdraw", tuner, day.trackday, row=str(order.pk)).outcome == "applied"
    assert carry_out(day, helper, rear, "14", "11").outcome == "refused"
    assert stands_at(rear) == Decimal(14)


def test_an_order_of_another_bike_is_not_carried_out_here(day, helper, tuner, rear):
    elsewhere = day.entries[1]
    act = do(
        "change", helper, day.trackday, entry=elsewhere.pk, order=str(Order.objects.get().pk),
        moves=[move(rear, "14", "11")],
    )  # fmt: skip
    assert act.outcome == "refused"
    assert not Adjustment.objects.filter(kind="change").exists()


def test_a_helper_turns_nothing_without_an_order(day, helper, rear):
    moves = [move(rear, "14", "11")]
    act = do("change", helper, day.trackday, entry=day.entries[0].pk, moves=moves)
    assert act.answer["text"] == (
        "A helper turns an adjuster by order only: ask the tuner for one."
    )
    assert stands_at(rear) == Decimal(14)


def test_an_order_is_withdrawn_after_its_change_was_withdrawn(day, helper, tuner, rear):
    done = carry_out(day, helper, rear, "14", "11")
    order = Order.objects.get()
    refused = do("withdraw", tuner, day.trackday, row=str(order.pk))
    assert "take the change back first" in refused.answer["text"]
    assert do("withdraw", tuner, day.trackday, row=str(done.pk)).outcome == "applied"
    assert do("withdraw", tuner, day.trackday, row=str(order.pk)).outcome == "applied"
    assert not Order.objects.filter(withdrawn_at=None).exists()


@pytest.fixture
def both(day, tuner):
    """Rear rebound and rear compression, both counted at 14 clicks."""
    entry = day.entries[0]
    found = list(Adjuster.objects.filter(bike=entry.bike_id, end="rear").order_by("pk"))
    for adjuster in found:
        do("count", tuner, day.trackday, entry=entry.pk, counts=[moved(adjuster, position="14")])
    return found


@pytest.mark.parametrize(("kind", "model"), [("change", Adjustment), ("order", Order)])
def test_of_several_moves_the_first_row_has_the_acts_id_and_all_are_linked(
    day, tuner, both, kind, model
):
    moves = [move(adjuster, "14", "12") for adjuster in both]
    act = do(kind, tuner, day.trackday, entry=day.entries[0].pk, moves=moves)
    assert act.outcome == "applied", act.answer
    rows = model.objects.filter(linked=act.pk)
    assert {row.adjuster for row in rows} == set(both)
    assert rows.get(adjuster=both[0]).pk == act.pk


def test_one_move_is_linked_to_nothing(day, tuner, rear):
    assert Order.objects.get().linked is None


def test_an_order_of_several_adjusters_is_carried_out_by_naming_one_of_it(day, tuner, helper, both):
    moves = [move(adjuster, "14", "12") for adjuster in both]
    ordered = do("order", tuner, day.trackday, entry=day.entries[0].pk, moves=moves)
    done = do(
        "change", helper, day.trackday, entry=day.entries[0].pk, order=str(ordered.pk), moves=moves
    )
    assert done.outcome == "applied", done.answer
    assert [stands_at(adjuster) for adjuster in both] == [12, 12]


def test_a_helper_calls_no_adjuster_proven(day, helper, tuner, rear):
    said = {"adjuster": rear.pk, "state": "proven", "words": "stays"}
    act = do("adjuster", helper, day.trackday, entry=day.entries[0].pk, **said)
    rear.refresh_from_db()
    assert act.answer["text"] == "Only a tuner calls an adjuster mended or proven."
    assert rear.proven_at is None
