"""Planned times never change; what is expected follows delays, lunch, flags and the zone."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.trackday import clock
from jobs.trackday.enums import SessionState
from jobs.trackday.models import Delay, Session, Trackday, Venue

ZONE = ZoneInfo("Europe/Dublin")


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 6, 13, hour, minute, tzinfo=ZONE)


def session(hour: int, minute: int = 0, pk: int = 1, **fields) -> Session:
    start = at(hour, minute)
    return Session(
        pk=pk, planned_start=start, planned_end=start + timedelta(minutes=20), number=pk, **fields
    )


def delay(minutes: int, start: datetime, **fields) -> Delay:
    return Delay(minutes=minutes, from_planned=start, **fields)


LUNCH = clock.Lunch(at(12), at(13), timedelta(minutes=40))


def expected(sessions, delays=(), lunch=None, now=None, closes_at=None) -> clock.DayTimes:
    timetable = clock.TimetableRows(list(sessions), list(delays), lunch, closes_at)
    return clock.day_times(timetable, now or at(7))


def late(planned: datetime, delays, lunch=None) -> int:
    """By how many minutes a session planned for that time is late."""
    one = session(planned.hour, planned.minute)
    return expected([one], delays, lunch).sessions[0].late_minutes


def test_a_delay_moves_what_comes_after_it_and_nothing_before():
    delays = [delay(15, at(10))]
    assert late(at(9, 40), delays) == 0
    assert late(at(10), delays) == 15
    assert late(at(11), delays) == 15


def test_its_opposite_undoes_it():
    assert late(at(11), [delay(15, at(10)), delay(-15, at(10))]) == 0


def test_a_delay_may_end_at_the_next_session():
    delays = [delay(10, at(10), until_planned=at(10, 20))]
    assert late(at(10), delays) == 10
    assert late(at(10, 20), delays) == 0


@pytest.mark.parametrize(("morning", "afternoon"), [(10, 0), (20, 0), (35, 15), (-10, -10)])
def test_lunch_takes_up_a_delay_down_to_its_least_length(morning, afternoon):
    delays = [delay(morning, at(10))]
    assert late(at(11), delays, LUNCH) == morning
    assert late(at(13), delays, LUNCH) == afternoon


def test_lunch_takes_up_nothing_of_the_afternoons_own_delay():
    delays = [delay(10, at(10)), delay(15, at(14))]
    assert late(at(13), delays, LUNCH) == 0
    assert late(at(14), delays, LUNCH) == 15


@pytest.mark.parametrize(
    ("minutes", "start", "end"), [(0, at(12), at(13)), (35, at(12, 35), at(13, 15))]
)
def test_when_lunch_is_now_expected(minutes, start, end):
    assert expected([], [delay(minutes, at(10))], LUNCH).lunch == (start, end)


def test_a_delay_of_one_session_moves_that_one_alone():
    one, other = session(10, pk=1), session(11, pk=2)
    times = expected([one, other], [delay(60, at(10), session=one)], now=at(9)).sessions
    assert [t.start for t in times] == [at(11), at(11)]


@pytest.mark.parametrize(
    ("now", "state"),
    [
        (at(9, 59), SessionState.PLANNED),
        (at(10), SessionState.RUNNING),
        (at(10, 20), SessionState.FINISHED),
    ],
)
def test_without_a_tap_a_session_runs_by_the_timetable(now, state):
    assert expected([session(10)], now=now).sessions[0].state == state


def test_a_flag_gives_the_end_as_it_was():
    flagged = session(10, actual_start=at(10, 3), actual_end=at(10, 11), cut_short=True)
    times = expected([flagged], now=at(10, 12)).sessions[0]
    assert (times.start, times.end, times.state) == (
        at(10, 3),
        at(10, 11),
        SessionState.CUT_SHORT,
    )


def test_what_is_expected_past_the_close_is_listed():
    sessions = [session(16, 30), session(16, 55, pk=2)]
    times = expected(sessions, now=at(9), closes_at=at(17))
    assert [t.session.pk for t in times.beyond_close] == [2]


def test_a_delay_begins_with_the_first_session_that_has_not_started():
    sessions = [session(10, pk=1), session(11, pk=2), session(10, 30, pk=3)]
    assert expected(sessions, now=at(10, 5)).next_planned == at(10, 30)
    assert expected(sessions, now=at(12)).next_planned is None


def test_no_reader_of_a_day_can_leave_out_its_delays_or_its_lunch():
    with pytest.raises(TypeError, match="'delays', 'lunch', and 'closes_at'"):
        clock.TimetableRows([session(10)])


def test_on_the_day_the_clocks_go_back_a_session_lasts_its_true_minutes():
    # Ireland's clocks go back on 25 October 2026 at 02:00 (EU directive 2000/84/EC).
    before = datetime(2026, 10, 25, 0, 50, tzinfo=ZONE)
    start = before.astimezone(ZoneInfo("UTC")) + timedelta(hours=1)
    late = Session(pk=1, number=1, planned_start=start, planned_end=start + timedelta(minutes=20))
    times = expected([late], [delay(30, start)], now=start).sessions[0]
    day = Trackday(date=date(2026, 10, 25), venue=Venue(timezone="Europe/Dublin"))
    assert times.end - times.start == timedelta(minutes=20)
    assert f"{clock.local(day, start):%H:%M}" == "01:50"
    assert f"{clock.local(day, times.start):%H:%M}" == "01:20"
    assert [f"{moment:%d %H:%M}" for moment in clock.bounds(day)] == ["24 23:00", "26 00:00"]
