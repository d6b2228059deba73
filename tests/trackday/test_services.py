"""What a person says of the day: sessions, delays, crew, riders, bikes; and what is refused."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from jobs.trackday import clock, office, services
from jobs.trackday.enums import Move, SessionState
from jobs.trackday.models import Conditions, CrewDay, Delay, Entry, RunGroup
from jobs.trackday.selectors import entry_whereabouts, outings_of_bike, session_expected
from jobs.trackday.services.entries import group_has_been_out
from tests.days import SESSIONS, day_build, local

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(db):
    return day_build(bikes=5)


@pytest.fixture
def first(day):
    """Group A's first session, 09:00 to 09:18."""
    return day.sessions[0]


def expected(session, at):
    times = session_expected(session, at)
    return times.start, times.end, times.state


def test_a_session_started_late_runs_its_length_from_there(first):
    services.session_start(session=first, at=local(9, 4))
    assert expected(first, local(9, 5)) == (local(9, 4), local(9, 22), SessionState.RUNNING)


def test_a_session_that_is_over_is_not_started_again(first):
    services.session_flag(session=first, at=local(9, 10))
    with pytest.raises(ValidationError, match="is over already"):
        services.session_start(session=first, at=local(9, 12))


def test_a_flag_ends_a_running_session_and_keeps_its_start(first):
    services.session_flag(session=first, at=local(9, 10), cut_short=True)
    assert expected(first, local(9, 11)) == (local(9), local(9, 10), SessionState.CUT_SHORT)


def test_a_session_not_yet_started_has_no_flag(first):
    with pytest.raises(ValidationError, match="has not started"):
        services.session_flag(session=first, at=local(8, 59))


@pytest.mark.parametrize("say", [services.session_start, services.session_flag])
def test_a_cancelled_session_is_neither_started_nor_flagged(first, say):
    services.session_cancel(session=first, at=local(8, 30))
    with pytest.raises(ValidationError, match="was cancelled"):
        say(session=first, at=local(9, 5))


def test_a_session_that_is_over_is_not_cancelled(first):
    with pytest.raises(ValidationError, match="is over already"):
        services.session_cancel(session=first, at=local(9, 30))


def test_a_session_is_put_back_to_what_it_was(first):
    was = {"actual_start": local(9, 3).isoformat(), "actual_end": None, "cancelled_at": None,
           "cut_short": False}  # fmt: skip
    services.session_flag(session=first, at=local(9, 10), cut_short=True)
    services.session_restore(session=first, was=was)
    first.refresh_from_db()
    assert (first.actual_start, first.actual_end, first.cut_short) == (local(9, 3), None, False)


def add(group, start, end):
    return services.session_add(group=group, planned_start=start, planned_end=end, at=local(8))


def test_an_added_session_has_the_next_number_and_does_not_overlap_its_own_group(day, first):
    group = day.groups[0]
    with pytest.raises(ValidationError, match="Group A is out from 09:00 to 09:18 already"):
        add(group, local(9, 10), local(9, 25))
    with pytest.raises(ValidationError, match="ends before it starts"):
        add(group, local(9, 30), local(9, 30))
    # While group B is out, and beginning when its own group is back.
    added = add(group, local(9, 18), local(9, 38))
    assert (added.number, added.added) == (SESSIONS + 1, True)


def test_an_added_session_may_take_the_place_of_a_cancelled_one(day, first):
    services.session_cancel(session=first, at=local(8))
    assert add(day.groups[0], local(9), local(9, 18)).number == SESSIONS + 1


def test_a_session_typed_by_hand_is_the_next_of_its_group_and_a_new_letter_a_new_group(day):
    made = [
        office.session_enter(
            trackday=day.trackday, letter=letter, planned_start=local(18), planned_end=local(19)
        )
        for letter in ("a", "N", "N")
    ]
    assert [(one.group.letter, one.number) for one in made] == [("A", 7), ("N", 1), ("N", 2)]
    assert made[1].group.order == len(day.groups)


def delay(day, minutes, tuner, at=None, **more):
    return services.delay_add(
        delay_id=uuid.uuid4(), trackday=day.trackday, minutes=minutes, by=tuner,
        at=at or local(9, 5), **more,
    )  # fmt: skip


def test_a_delay_of_one_session_ends_where_the_next_one_is_planned(day, tuner):
    row = delay(day, 10, tuner, one_session_only=True)
    assert (row.from_planned, row.until_planned) == (local(9, 20), local(9, 40))
    assert delay(day, 10, tuner).until_planned is None


def test_the_last_session_alone_is_moved_without_an_end(day, tuner):
    last = max(session.planned_start for session in day.sessions)
    row = delay(day, 10, tuner, at=last - timedelta(minutes=1), one_session_only=True)
    assert (row.from_planned, row.until_planned) == (last, None)


def trade(tuner, first, second, at=None, delay_id=None):
    return services.sessions_trade(
        delay_id=delay_id or uuid.uuid4(), first=first, second=second, by=tuner, at=at or local(8)
    )


def test_two_sessions_trade_places_and_either_delay_has_an_id_of_its_own(day, tuner, first):
    second = day.sessions[1]
    delay_id = uuid.uuid4()
    rows = trade(tuner, first, second, delay_id=delay_id)
    assert rows[0].pk == delay_id
    assert [(row.session, row.minutes) for row in rows] == [(first, 20), (second, -20)]
    assert Delay.objects.count() == 2
    assert expected(first, local(8))[0] == local(9, 20)
    assert expected(second, local(8))[0] == local(9)


def test_a_session_that_has_started_trades_no_place(day, tuner, first):
    with pytest.raises(ValidationError, match="has started or is over"):
        trade(tuner, first, day.sessions[1], at=local(9, 5))
    with pytest.raises(ValidationError, match="has started or is over"):
        trade(tuner, day.sessions[1], first, at=local(9, 5))
    with pytest.raises(ValidationError, match="Two different sessions"):
        trade(tuner, first, first)


def test_a_day_has_lunch_where_both_ends_are_known(day):
    trackday = day.trackday
    assert clock.lunch_of(trackday) is None
    services.lunch_set(trackday=trackday, start=local(12), end=local(13), least_minutes=40)
    lunch = clock.lunch_of(trackday)
    assert (lunch.start, lunch.end, lunch.spare_minutes) == (local(12), local(13), 20)
    trackday.lunch_to = None
    assert clock.lunch_of(trackday) is None


def test_a_delay_longer_than_lunch_can_take_up_moves_its_end(day, tuner):
    trackday = day.trackday
    services.lunch_set(trackday=trackday, start=local(12), end=local(13), least_minutes=40)
    delay(day, 35, tuner)
    times = session_expected(day.sessions[-1], local(9, 6))
    assert times.late_minutes == 15


def test_only_the_crew_joins_a_day(day, helper, customer_a):
    with pytest.raises(ValidationError, match="neither tuner nor helper"):
        services.crew_join(trackday=day.trackday, user=customer_a)
    assert services.crew_join(trackday=day.trackday, user=helper).user == helper


def times(day, user, **said):
    none = dict.fromkeys(("joins_at", "leaves_at", "lunch_from", "lunch_to"))
    return services.crew_times(trackday=day.trackday, user=user, **{**none, **said})


def test_the_times_of_somebody_of_the_crew_are_kept(day, helper, tuner):
    services.crew_join(trackday=day.trackday, user=helper)
    kept = times(day, helper, joins_at=local(8), lunch_from=local(12), lunch_to=local(12, 30))
    kept.refresh_from_db()
    assert (kept.joins_at, kept.leaves_at) == (local(8), None)
    assert (kept.lunch_from, kept.lunch_to) == (local(12), local(12, 30))
    with pytest.raises(ValidationError, match="not in today's crew"):
        times(day, tuner)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"lunch_from": local(12)}, "a beginning and a length"),
        ({"lunch_to": local(12)}, "a beginning and a length"),
        ({"lunch_from": local(12), "lunch_to": local(12)}, "a beginning and a length"),
        ({"joins_at": local(9), "leaves_at": local(9)}, "not after the beginning"),
    ],
)
def test_times_that_cannot_be_are_refused(day, helper, said, why):
    services.crew_join(trackday=day.trackday, user=helper)
    with pytest.raises(ValidationError, match=why):
        times(day, helper, **said)


def test_lunches_in_turns_are_of_this_day_alone(day, helper, tuner):
    other = day_build(bikes=0)
    services.crew_join(trackday=day.trackday, user=helper)
    services.crew_join(trackday=other.trackday, user=tuner)
    services.lunches_stagger(trackday=day.trackday, start=local(12), end=local(13), minutes=30)
    assert CrewDay.objects.get(user=helper).lunch_from == local(12)
    assert CrewDay.objects.get(user=tuner).lunch_from is None


def test_the_owner_pays_unless_somebody_else_is_named(day):
    entry, other = day.entries[:2]
    booked = {
        "trackday": day.trackday, "group": day.groups[0], "bike": entry.bike,
        "rider": other.rider, "package": day.package,
    }  # fmt: skip
    assert office.entry_create(**booked).payer == entry.bike.owner
    Entry.objects.filter(rider=other.rider, bike=entry.bike).delete()
    assert office.entry_create(**booked, payer=other.payer).payer == other.payer


def test_a_group_has_been_out_once_its_first_session_that_runs_has_started(day, first):
    group, other = day.groups[:2]
    assert not group_has_been_out(group, local(8, 59))
    assert group_has_been_out(group, local(9, 1))
    assert not group_has_been_out(other, local(9, 1))
    services.session_cancel(session=first, at=local(9, 1))
    assert not group_has_been_out(group, local(9, 1))


def change_rider(tuner, entry, **who):
    return services.entry_rider_change(
        change_id=uuid.uuid4(), entry=entry, by=tuner, at=local(10), **who
    )


def test_who_rides_is_a_rider_we_know_or_a_new_name(day, tuner):
    entry, other = day.entries[:2]
    with pytest.raises(ValidationError, match="Who rides it"):
        change_rider(tuner, entry, name="  ")
    with pytest.raises(ValidationError, match="is on this bike already"):
        change_rider(tuner, entry, to=entry.rider)
    # He has an entry of his own, on another bike: no reason against it.
    assert change_rider(tuner, entry, to=other.rider).to_rider == other.rider
    assert change_rider(tuner, entry, name="Nia").to_rider.name == "Nia"


def test_a_rider_with_an_own_entry_on_this_bike_uses_that_one(day, tuner):
    entry, other = day.entries[:2]
    yesterday = day_build(bikes=0)
    mine = {"bike": entry.bike, "payer": entry.payer, "package": day.package}
    Entry.objects.create(
        trackday=yesterday.trackday, group=yesterday.groups[0], rider=other.rider, **mine
    )
    change_rider(tuner, entry, to=other.rider)
    third = day.entries[2].rider
    Entry.objects.create(trackday=day.trackday, group=day.groups[1], rider=third, **mine)
    with pytest.raises(ValidationError, match="has an own entry on this bike"):
        change_rider(tuner, entry, to=third)


def change_group(tuner, entry, to: RunGroup, at):
    return services.entry_group_change(change_id=uuid.uuid4(), entry=entry, to=to, by=tuner, at=at)


def test_a_group_change_is_taken_back_unless_a_later_one_of_that_bike_rests_on_it(day, tuner):
    entry, other = day.entries[:2]
    change = change_group(tuner, entry, day.groups[2], local(10))
    change_group(tuner, other, day.groups[3], local(11))
    services.entry_group_change_withdraw(change=change, at=local(12))
    entry.refresh_from_db()
    assert entry.group == day.groups[0]
    first = change_group(tuner, entry, day.groups[2], local(12))
    change_group(tuner, entry, day.groups[3], local(13))
    with pytest.raises(ValidationError, match="take that one back first"):
        services.entry_group_change_withdraw(change=first, at=local(14))


def move(tuner, entry, what, at):
    return services.move_record(move_id=uuid.uuid4(), entry=entry, move=what, by=tuner, at=at)


def test_a_tap_belongs_to_the_outing_that_is_meant(day, tuner, first):
    entry = day.entries[0]
    assert move(tuner, entry, Move.ARRIVED, local(8)).session is None
    assert move(tuner, entry, Move.BIKE_IN, local(8, 10)).session is None
    assert move(tuner, entry, Move.BIKE_OUT, local(8, 44)).session is None
    assert move(tuner, entry, Move.BIKE_OUT, local(8, 45)).session == first
    assert move(tuner, entry, Move.BIKE_IN, local(9, 12)).session == first
    missed = move(tuner, day.entries[4], Move.DID_NOT_GO_OUT, local(9, 30))
    assert missed.session == first


def test_before_any_session_no_bike_could_have_missed_one(day, tuner):
    with pytest.raises(ValidationError, match="No session has started"):
        move(tuner, day.entries[0], Move.DID_NOT_GO_OUT, local(8, 30))


def test_an_outing_counts_from_the_very_minute_the_session_starts(day, tuner, first):
    entry = day.entries[0]
    move(tuner, entry, Move.ARRIVED, local(8))
    assert entry_whereabouts(entry, local(8, 59)).last is None
    where = entry_whereabouts(entry, local(9))
    assert (where.place, where.last.times.session) == ("out", first)
    assert len(outings_of_bike(entry.bike_id, at=local(8, 59))) == 0
    assert len(outings_of_bike(entry.bike_id, at=local(9))) == 1
    assert len(outings_of_bike(entry.bike_id, at=local(9), since=local(8))) == 1
    later = local(8) + timedelta(days=2)
    assert outings_of_bike(entry.bike_id, at=later, since=later) == []


def corners(day, names, **more):
    found = services.corners_name(venue=day.trackday.venue, names=names, **more)
    return [(corner.order, corner.name, corner.x, corner.y) for corner in found]


def test_corners_are_named_in_order_and_lie_on_the_sketch(day):
    named = corners(
        day, ["Long right", " ", "Hill"], places={"Hill": (12.34, 56.78), "Gone": (1, 1)}
    )
    assert named == [(1, "Long right", None, None), (2, "Hill", 12.3, 56.8)]
    assert corners(day, ["x" * 60])[0][1] == "x" * 60
    with pytest.raises(ValidationError, match="too long"):
        corners(day, ["x" * 61])
    with pytest.raises(ValidationError, match="is there twice"):
        corners(day, ["Hill", "Hill "])


@pytest.mark.parametrize("point", [(1,), (1, 2, 3), (-0.1, 5), (5, 100.1)])
def test_a_point_outside_the_sheet_is_refused(day, point):
    with pytest.raises(ValidationError, match="outside the sheet"):
        services.sketch_draw(venue=day.trackday.venue, points=[(0, 100), point])
    assert services.sketch_draw(venue=day.trackday.venue, points=[(0, 100)]).sketch == [[0, 100]]


def test_conditions_are_named_by_surface_and_track():
    assert str(Conditions(wet=True, track_c=18)) == "wet, track 18"
    assert str(Conditions(wet=False, track_c=41)) == "dry, track 41"
