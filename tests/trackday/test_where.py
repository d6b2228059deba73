"""Where a bike is: by the timetable, until a person says otherwise."""

from datetime import timedelta

from jobs.trackday import clock
from jobs.trackday.enums import BikePlace, Move
from jobs.trackday.models import BikeMove, Entry, GroupChange, Session
from jobs.trackday.where import sessions_of_entry, whereabouts
from tests.days import local


def sessions(*starts, group: int = 1) -> list[Session]:
    return [
        Session(
            pk=group * 100 + number,
            group_id=group,
            number=number,
            planned_start=start,
            planned_end=start + timedelta(minutes=20),
        )
        for number, start in enumerate(starts, 1)
    ]


DAY = sessions(local(9), local(10), local(11))
ARRIVED = BikeMove(move=Move.ARRIVED, at=local(8))


def said(move: Move, at, session: Session | None = None) -> BikeMove:
    return BikeMove(move=move, at=at, session=session)


def where(at, *moves, holds=(), rows=None):
    times = clock.day_times(clock.TimetableRows(rows or DAY, [], None, None), at).sessions
    return whereabouts(times, moves, holds, at)


def test_a_bike_nobody_has_seen_has_not_arrived_and_does_not_go_out():
    assert where(local(9, 10)).place == BikePlace.NOT_ARRIVED


def test_it_goes_out_with_its_group_and_stands_two_minutes_after_the_flag():
    assert where(local(8, 59), ARRIVED).place == BikePlace.IN
    assert where(local(9, 10), ARRIVED).place == BikePlace.OUT
    assert where(local(9, 21), ARRIVED).place == BikePlace.DUE_IN
    back = where(local(9, 22), ARRIVED)
    assert (back.place, back.stop, back.roll) == (BikePlace.IN, local(9, 22), local(10))


def test_bike_in_by_hand_sets_the_stop():
    tapped = said(Move.BIKE_IN, local(9, 12), DAY[0])
    back = where(local(9, 13), ARRIVED, tapped)
    assert (back.place, back.stop) == (BikePlace.IN, local(9, 12))


def test_a_held_bike_stays_until_a_person_taps_bike_out():
    holds = [(local(8, 30), None)]
    assert where(local(9, 10), ARRIVED, holds=holds).place == BikePlace.IN
    out = where(local(9, 10), ARRIVED, said(Move.BIKE_OUT, local(9, 2), DAY[0]), holds=holds)
    assert (out.place, out.held_but_out) == (BikePlace.OUT, True)


def test_held_while_out_is_told():
    assert where(local(9, 10), ARRIVED, holds=[(local(9, 5), None)]).held_but_out


def test_did_not_go_out_has_no_outing_and_goes_out_the_next_time():
    stayed = said(Move.DID_NOT_GO_OUT, local(9, 5), DAY[0])
    assert where(local(9, 10), ARRIVED, stayed).place == BikePlace.DID_NOT_GO_OUT
    assert where(local(9, 30), ARRIVED, stayed).last is None
    assert where(local(10, 5), ARRIVED, stayed).place == BikePlace.OUT


def test_gone_home_is_out_of_the_day():
    home = said(Move.GONE_HOME, local(9, 40))
    gone = where(local(10, 5), ARRIVED, home)
    assert (gone.place, gone.coming) == (BikePlace.GONE_HOME, None)
    assert gone.last.times.session == DAY[0]


def test_a_session_cancelled_is_no_outing():
    rows = sessions(local(9), local(10))
    rows[0].cancelled_at = local(8, 50)
    here = where(local(9, 10), ARRIVED, rows=rows)
    assert (here.place, here.roll) == (BikePlace.IN, local(10))


def test_a_tap_taken_back_counts_no_more():
    tapped = said(Move.BIKE_OUT, local(8, 30), None)
    assert where(local(8, 40), ARRIVED, tapped).place == BikePlace.OUT
    tapped.withdrawn_at = local(8, 35)
    assert where(local(8, 40), ARRIVED, tapped).place == BikePlace.IN


def test_a_group_change_divides_the_day():
    a, b = sessions(local(9), local(10), group=1), sessions(local(9, 30), local(10, 30), group=2)
    times = {
        group: clock.day_times(clock.TimetableRows(rows, [], None, None), local(8)).sessions
        for group, rows in ((1, a), (2, b))
    }
    entry = Entry(group_id=2)
    change = GroupChange(from_group_id=1, to_group_id=2, at=local(9, 25))
    found = [t.session.pk for t in sessions_of_entry(entry, [change], times)]
    assert found == [a[0].pk, b[0].pk, b[1].pk]


def test_a_hold_released_at_the_very_start_lets_the_bike_go_out():
    assert where(local(9, 10), ARRIVED, holds=[(local(8, 30), local(9))]).place == BikePlace.OUT
    assert where(local(9, 10), ARRIVED, holds=[(local(8, 30), local(9, 1))]).place == BikePlace.IN


def test_after_the_last_session_no_roll_is_left():
    assert where(local(12), ARRIVED).roll is None


def test_a_tap_outside_any_session_overrules_the_timetable_both_ways():
    brought_in = said(Move.BIKE_IN, local(9, 5))
    assert where(local(9, 6), ARRIVED, brought_in).place == BikePlace.IN
    sent_out = said(Move.BIKE_OUT, local(9, 40))
    assert where(local(9, 41), ARRIVED, sent_out).place == BikePlace.OUT


def test_with_the_flag_a_bike_is_due_in_and_no_longer_out():
    assert where(local(9, 20), ARRIVED).place == BikePlace.DUE_IN


def test_half_an_hour_before_the_first_session_is_in_time():
    early = BikeMove(move=Move.ARRIVED, at=local(8, 30))
    late = BikeMove(move=Move.ARRIVED, at=local(8, 31))
    assert not where(local(8, 40), early).came_late
    assert where(local(8, 40), late).came_late
