"""What a change, a count and a read-back do to the book, and what is refused."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.garage.enums import Unit
from jobs.people.models import Business
from jobs.setups import limits, selectors, services
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment

from ..days import day_build, local
from .writing import arrive, change, count, origin, rear_rebound, stands_at, tyre_pressure

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def test_the_first_count_of_a_day_is_its_baseline_and_later_ones_are_recounts(tuner, entry):
    assert count(tuner, entry, 14).kind == RowKind.BASELINE
    assert count(tuner, entry, 13).kind == RowKind.RECOUNT


def test_a_change_moves_the_adjuster(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11)
    assert (row.state, row.seq, stands_at(row.adjuster)) == (RowState.PLACED, 2, 11)


def test_a_change_that_starts_elsewhere_is_kept_unplaced_and_moves_nothing(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 12, 11)
    assert (row.state, row.seq, stands_at(row.adjuster)) == (RowState.UNPLACED, None, 14)
    assert row.unplaced_why == (
        "It starts from 12 clicks out from closed, but the book says 14 clicks out from closed."
    )


def test_a_change_resting_on_an_unplaced_one_is_unplaced_too(tuner, entry):
    count(tuner, entry, 14)
    first = change(tuner, entry, 12, 11)
    assert change(tuner, entry, 11, 10).state == RowState.UNPLACED
    # Even where its number happens to fit the book.
    assert change(tuner, entry, 14, 13, rests_on=first.pk).state == RowState.UNPLACED
    assert change(tuner, entry, 14, 13).state == RowState.PLACED


def test_an_uncounted_adjuster_takes_the_doer_at_his_word(tuner, entry):
    row = change(tuner, entry, 12, 11)
    assert (row.state, stands_at(row.adjuster)) == (RowState.PLACED, 11)
    assert selectors.arrived_positions(entry)[row.adjuster_id] == 12


def test_past_the_counted_range_is_refused_in_words(tuner, entry):
    count(tuner, entry, 23)
    with pytest.raises(ValidationError, match="counted from 0 to 24 on this bike; 25 is past"):
        change(tuner, entry, 23, 25)
    assert stands_at(rear_rebound(entry)) == 23


def test_a_count_past_the_range_needs_the_range_counted_again(tuner, entry):
    with pytest.raises(ValidationError, match="past its end"):
        count(tuner, entry, 26)
    row = count(tuner, entry, 26, highest=Decimal(27))
    assert row.adjuster.highest == 27
    assert row.adjuster.range_counted


def test_more_than_the_usual_step_asks_why(tuner, entry):
    count(tuner, entry, 14)
    with pytest.raises(ValidationError, match="4 clicks in one go is more than the usual 3 clicks"):
        change(tuner, entry, 14, 10)
    assert change(tuner, entry, 14, 10, step_reason="rises very slowly").step_reason


def test_the_usual_most_is_the_businesss_own(tuner, entry):
    Business.objects.update_or_create(pk=1, defaults={"name": "H", "small_step_clicks": "5"})
    count(tuner, entry, 14)
    change(tuner, entry, 14, 9)
    with pytest.raises(ValidationError, match="6 clicks in one go is more than the usual 5"):
        change(tuner, entry, 9, 3)


def test_the_usual_most_of_a_pressure_is_one_in_every_unit():
    """2 psi is 13.79 kPa (NIST SP 811, appendix B), as a gauge in kPa or bar shows it."""
    most = limits.small_steps(Business())
    assert (most[Unit.PSI], most[Unit.KPA], most[Unit.BAR]) == (2, 14, Decimal("0.14"))
    assert Unit.LABEL not in most


def test_between_two_steps_is_refused(tuner, entry):
    with pytest.raises(ValidationError, match="goes in steps of 1 click"):
        change(tuner, entry, 14, 12.5)


def test_nothing_moved_is_no_change(tuner, entry):
    with pytest.raises(ValidationError, match="nothing was changed"):
        change(tuner, entry, 14, 14)


def test_a_broken_adjuster_is_not_set(tuner, entry):
    adjuster = rear_rebound(entry)
    services.adjuster_break(origin=origin(tuner, entry), adjuster=adjuster, fault="no click felt")
    with pytest.raises(ValidationError, match=r"marked broken \(no click felt\)"):
        change(tuner, entry, 14, 13)
    services.adjuster_mend(origin=origin(tuner, entry), adjuster=adjuster)
    assert change(tuner, entry, 14, 13).state == RowState.PLACED


def test_two_counts_more_than_one_apart_are_unsure(tuner, entry):
    count(tuner, entry, 14, second_count=Decimal(13))
    assert not _standing(entry).unsure
    count(tuner, entry, 14, second_count=Decimal(16))
    assert _standing(entry).unsure


def test_a_recount_is_history_and_says_who_may_have_turned_it(tuner, entry):
    count(tuner, entry, 14)
    row = count(tuner, entry, 9, turned_by="rider")
    assert (row.from_position, row.to_position, row.turned_by) == (14, 9, "rider")
    assert Adjustment.objects.filter(adjuster=row.adjuster).count() == 2


def test_read_back_as_written(tuner, helper, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11)
    row = services.adjustment_read_back(origin=origin(helper, entry), row=row, position=Decimal(11))
    assert (row.read_back, row.read_back_by) == (11, helper)
    assert Adjustment.objects.count() == 2


def test_read_back_otherwise_is_a_recount(tuner, helper, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11)
    services.adjustment_read_back(origin=origin(helper, entry), row=row, position=Decimal(12))
    assert stands_at(row.adjuster) == 12


def test_only_the_last_change_is_read_back(tuner, entry):
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11)
    change(tuner, entry, 11, 10)
    with pytest.raises(ValidationError, match="no longer the last one"):
        services.adjustment_read_back(origin=origin(tuner, entry), row=row, position=Decimal(11))


def test_a_pressure_takes_from_the_gauge_and_is_never_unplaced(tuner, entry):
    tyre = tyre_pressure(entry)
    change(tuner, entry, 31, 30, adjuster=tyre, tyre_state="cold")
    row = change(tuner, entry, 32.5, 31.5, adjuster=tyre, tyre_state="track")
    assert (row.state, stands_at(tyre), row.tyre_state) == (
        RowState.PLACED,
        Decimal("31.5"),
        "track",
    )


def test_arrived_is_what_the_day_began_with_whatever_followed(tuner, entry):
    count(tuner, entry, 14)
    change(tuner, entry, 14, 11)
    count(tuner, entry, 12)
    standing = _standing(entry)
    assert (standing.arrived, standing.position) == (14, 12)
    assert standing.since_arrived == "2 clicks firmer"


def test_an_adjuster_nobody_touched_today_arrived_where_it_stands(tuner, entry):
    count(tuner, entry, 14)
    today = day_build(bikes=1).entries[0]
    today.bike = entry.bike
    today.save()
    assert _standing(today).arrived == 14


@pytest.mark.parametrize(
    ("at", "state"),
    [
        (local(8), "cold"),  # not out yet
        (local(9, 10), "cold"),  # out now, no stop to count from
        (local(9, 22), "hot"),  # flag 9:18, stop 9:20
        (local(9, 25), "hot"),
        (local(9, 26), "warm"),
        (local(10, 19), "warm"),  # 59 min
    ],
)
def test_oil_is_worked_out_from_the_stop(tuner, entry, at, state):
    arrive(tuner, entry)
    assert count(tuner, entry, 14, at=at).oil_state == state


def test_overruling_the_oil_state_needs_a_reason(tuner, entry):
    count(tuner, entry, 14)
    with pytest.raises(ValidationError, match="the oil is cold"):
        change(tuner, entry, 14, 13, oil="hot")
    row = change(tuner, entry, 14, 13, oil="hot", oil_reason="ridden on the road before")
    assert row.oil_state == "hot"


def test_a_reason_nobody_gave_is_not_taken_from_a_finding(tuner, entry):
    count(tuner, entry, 14)
    assert change(tuner, entry, 14, 13).reason == ""
    services.finding_write(
        origin=origin(tuner, entry),
        bike=entry.bike,
        words="pumps out of the long right",
        end="rear",
    )
    assert change(tuner, entry, 13, 12).reason == ""


def _standing(entry):
    adjuster = rear_rebound(entry)
    return next(s for s in selectors.standings_of_entry(entry) if s.adjuster == adjuster)


def test_a_change_ordered_for_a_finding_is_made_for_that_finding(tuner, entry):
    count(tuner, entry, 14)
    seen = services.finding_write(
        origin=origin(tuner, entry), bike=entry.bike, words="slow to come up", end="rear"
    )
    ordered = services.order_write(
        origin=origin(tuner, entry), adjuster=rear_rebound(entry),
        from_position=Decimal(14), to_position=Decimal(12), finding=seen,
    )  # fmt: skip
    assert change(tuner, entry, 14, 12, order=ordered).finding == seen
    assert change(tuner, entry, 12, 11).finding is None
