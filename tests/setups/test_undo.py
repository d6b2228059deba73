"""Taking back, placing, moving: nothing is deleted and nothing hangs in the air."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.garage.models import Adjuster
from jobs.setups import selectors, services
from jobs.setups.enums import RowState, Verdict
from jobs.setups.models import Adjustment, Reading
from jobs.setups.services.readings import Value

from ..days import day_build
from .writing import change, count, origin, rear_rebound, stands_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def entries(cast):
    return day_build(bikes=2).entries


@pytest.fixture
def entry(entries):
    return entries[0]


def withdraw(by, entry, row):
    return services.adjustment_withdraw(origin=origin(by, entry), row=row)


def test_taking_a_change_back_is_a_strike_through(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11)
    withdraw(tuner, entry, row)
    row.refresh_from_db()
    assert (row.state, row.withdrawn_by, row.seq) == (RowState.WITHDRAWN, tuner, 2)
    assert stands_at(row.adjuster) == 14
    assert change(tuner, entry, 14, 13).seq == 3


def test_what_something_rests_on_stays(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 12)
    change(tuner, entry, 12, 11)
    with pytest.raises(ValidationError, match="moved or counted since, to 11 clicks out"):
        withdraw(tuner, entry, row)


def test_a_judged_change_stays_until_the_judgement_is_taken_back(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 12)
    expected = services.expectation_write(
        origin=origin(tuner, entry), adjustment=row, text="settles"
    )
    judged = services.expectation_judge(
        origin=origin(tuner, entry), expectation=expected, verdict=Verdict.SEEN
    )
    with pytest.raises(ValidationError, match="was judged"):
        withdraw(tuner, entry, row)
    services.row_withdraw(origin=origin(tuner, entry), row=judged)
    withdraw(tuner, entry, row)
    expected.refresh_from_db()
    assert expected.withdrawn_by == tuner


def test_twice_taken_back_is_said(tuner, entry):
    row = count(tuner, entry, 14)
    withdraw(tuner, entry, row)
    with pytest.raises(ValidationError, match="already withdrawn"):
        withdraw(tuner, entry, row)


def test_both_legs_go_back_together(tuner, entry):
    act = origin(tuner, entry)
    legs = Adjuster.objects.filter(bike=entry.bike, end="front")
    for number, leg in enumerate(legs):
        services.adjustment_count(
            origin=act.further(number), adjuster=leg, position=Decimal(9), linked=act.id
        )
    withdraw(tuner, entry, Adjustment.objects.filter(linked=act.id).first())
    assert {stands_at(leg) for leg in legs} == {None}


def test_placing_writes_what_the_doer_found_so_the_chain_has_no_gap(tuner, entry):
    count(tuner, entry, 14)
    late = change(tuner, entry, 12, 11)
    placed = services.adjustment_place(origin=origin(tuner, entry), row=late)
    assert (placed.state, placed.placed_by, stands_at(placed.adjuster)) == (
        RowState.PLACED, tuner, 11,
    )  # fmt: skip
    chain = Adjustment.objects.filter(adjuster=placed.adjuster).order_by("seq")
    assert [(r.from_position, r.to_position) for r in chain] == [(None, 14), (14, 12), (12, 11)]


def test_taking_a_placed_change_back_takes_what_it_was_found_at_too(tuner, entry):
    count(tuner, entry, 14)
    late = services.adjustment_place(origin=origin(tuner, entry), row=change(tuner, entry, 12, 11))
    withdraw(tuner, entry, late)
    assert stands_at(late.adjuster) == 14


def test_an_unplaced_change_can_be_withdrawn_and_then_not_placed(tuner, entry):
    count(tuner, entry, 14)
    late = change(tuner, entry, 12, 11)
    withdraw(tuner, entry, late)
    with pytest.raises(ValidationError, match="not waiting to be placed"):
        services.adjustment_place(origin=origin(tuner, entry), row=late)


def test_a_change_on_the_wrong_bike_moves_to_the_right_one(tuner, helper, entries):
    wrong, right = entries
    for entry in entries:
        count(tuner, entry, 14)
    first, second = change(helper, wrong, 14, 12), change(helper, wrong, 12, 11)
    moved = services.rows_move(origin=origin(tuner, wrong), rows=[first, second], to=right)
    assert [row.state for row in moved] == [RowState.PLACED] * 2
    assert [row.moved_from for row in moved] == [first, second]
    assert {row.by for row in moved} == {helper}
    assert stands_at(rear_rebound(wrong)) == 14
    assert stands_at(rear_rebound(right)) == 11


def test_a_moved_change_that_does_not_fit_is_unplaced_there(tuner, entries):
    wrong, right = entries
    count(tuner, wrong, 14)
    count(tuner, right, 10)
    row = change(tuner, wrong, 14, 12)
    [moved] = services.rows_move(origin=origin(tuner, wrong), rows=[row], to=right)
    assert moved.state == RowState.UNPLACED
    assert stands_at(rear_rebound(right)) == 10


def test_a_change_something_rests_on_is_not_moved_alone(tuner, entries):
    wrong, right = entries
    count(tuner, wrong, 14)
    row = change(tuner, wrong, 14, 12)
    change(tuner, wrong, 12, 11)
    with pytest.raises(ValidationError, match="take that back first"):
        services.rows_move(origin=origin(tuner, wrong), rows=[row], to=right)
    assert stands_at(rear_rebound(wrong)) == 11


def test_moving_one_leg_moves_the_pair(tuner, entries):
    wrong, right = entries
    act = origin(tuner, wrong)
    legs = Adjuster.objects.filter(bike=wrong.bike, end="front")
    rows = [
        services.adjustment_count(
            origin=act.further(number), adjuster=leg, position=Decimal(9), linked=act.id
        )
        for number, leg in enumerate(legs)
    ]
    moved = services.rows_move(origin=origin(tuner, wrong), rows=rows[:1], to=right)
    assert len(moved) == 2


def test_a_reading_moves_with_its_numbers_and_switches_and_leaves_a_struck_row(tuner, entries):
    wrong, right = entries
    taken = services.reading_take(
        origin=origin(tuner, wrong), bike=wrong.bike, kind="travel", end="rear",
        values=[Value("used", Decimal("9.2"), "cm"), Value("reset", on=True)],
    )  # fmt: skip
    services.rows_move(origin=origin(tuner, wrong), rows=[taken.reading], to=right)
    assert Reading.objects.get(bike=wrong.bike).withdrawn_by == tuner
    moved = Reading.objects.get(bike=right.bike)
    rows = [(m.value, m.unit, m.canonical, m.on) for m in moved.measurements.all()]
    assert rows == [(Decimal("9.2"), "cm", Decimal(92), None), (None, "", None, True)]


def test_a_late_change_from_past_the_range_waits_until_the_range_is_counted(tuner, entry):
    """Found by test_replay: placing it would have written "found at 25" on a range of 24."""
    count(tuner, entry, 0)
    late = change(tuner, entry, 25, 24)
    assert "past the counted range" in late.unplaced_why
    with pytest.raises(ValidationError, match="past its end"):
        services.adjustment_place(origin=origin(tuner, entry), row=late)
    count(tuner, entry, 25, highest=Decimal(26))
    assert services.adjustment_place(origin=origin(tuner, entry), row=late).state == RowState.PLACED


def test_a_position_past_a_range_counted_since_is_said(tuner, entry):
    count(tuner, entry, 22)
    smaller = count(tuner, entry, 18, highest=Decimal(20))
    withdraw(tuner, entry, smaller)
    rebound = next(
        s for s in selectors.standings_of_entry(entry) if s.adjuster == rear_rebound(entry)
    )
    assert (rebound.position, rebound.past_range) == (22, True)


def test_an_order_goes_back_only_after_the_change_made_by_it(tuner, entry):
    count(tuner, entry, 14)
    order = services.order_write(
        origin=origin(tuner, entry),
        adjuster=rear_rebound(entry),
        from_position=Decimal(14),
        to_position=Decimal(11),
    )
    row = change(tuner, entry, 14, 11, order=order)
    with pytest.raises(ValidationError, match="take the change back first"):
        services.row_withdraw(origin=origin(tuner, entry), row=order)
    withdraw(tuner, entry, row)
    services.row_withdraw(origin=origin(tuner, entry), row=order)
    order.refresh_from_db()
    assert order.withdrawn_by == tuner
