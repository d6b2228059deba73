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


def test_a_delay_moves_what_comes_after_it_and_nothing_before():
    delays = [delay(15, at(10))]
    assert clock.delay_minutes(at(9, 40), delays) == 0
    assert clock.delay_minutes(at(10), delays) == 15
    assert clock.delay_minutes(at(11), delays) == 15


def test_its_opposite_undoes_it():
    delays = [delay(15, at(10)), delay(-15, at(10))]
    assert clock.delay_minutes(at(11), delays) == 0


def test_a_delay_may_end_at_the_next_session():
    delays = [delay(10, at(10), until_planned=at(10, 20))]
    assert clock.delay_minutes(at(10), delays) == 10
    assert clock.delay_minutes(at(10, 20), delays) == 0


@pytest.mark.parametrize(("morning", "afternoon"), [(10, 0), (20, 0), (35, 15), (-10, -10)])
def test_lunch_takes_up_a_delay_down_to_its_least_length(morning, afternoon):
    delays = [delay(morning, at(10))]
    assert clock.delay_minutes(at(11), delays, LUNCH) == morning
    assert clock.delay_minutes(at(13), delays, LUNCH) == afternoon


def test_lunch_takes_up_nothing_of_the_afternoons_own_delay():
    delays = [delay(10, at(10)), delay(15, at(14))]
    assert clock.delay_minutes(at(13), delays, LUNCH) == 0
    assert clock.delay_minutes(at(14), delays, LUNCH) == 15


@pytest.mark.parametrize(
    ("minutes", "start", "end"), [(0, at(12), at(13)), (35, at(12, 35), at(13, 15))]
)
def test_when_lunch_is_now_expected(minutes, start, end):
    assert clock.lunch_times(LUNCH, [delay(minutes, at(10))]) == (start, end)


def test_a_delay_of_one_session_moves_that_one_alone():
    one, other = session(10, pk=1), session(11, pk=2)
    delays = [delay(60, at(10), session=one)]
    assert clock.session_times(one, delays, at(9)).start == at(11)
    assert clock.session_times(other, delays, at(9)).start == at(11)


@pytest.mark.parametrize(
    ("now", "state"),
    [
        (at(9, 59), SessionState.PLANNED),
        (at(10), SessionState.RUNNING),
        (at(10, 20), SessionState.FINISHED),
    ],
)
def test_without_a_tap_a_session_runs_by_the_timetable(now, state):
    assert clock.session_times(session(10), [], now).state == state


def test_a_flag_gives_the_end_as_it_was():
    flagged = session(10, actual_start=at(10, 3), actual_end=at(10, 11), cut_short=True)
    times = clock.session_times(flagged, [], at(10, 12))
    assert (times.start, times.end, times.state) == (
        at(10, 3),
        at(10, 11),
        SessionState.CUT_SHORT,
    )


def test_what_is_expected_past_the_close_is_listed():
    day = Trackday(closes_at=at(17))
    times = clock.day_times([session(16, 30), session(16, 55, pk=2)], [], at(9))
    assert [t.session.pk for t in clock.beyond_close(day, times)] == [2]


def test_on_the_day_the_clocks_go_back_a_session_lasts_its_true_minutes():
    # Ireland's clocks go back on 25 October 2026 at 02:00 (EU directive 2000/84/EC).
    before = datetime(2026, 10, 25, 0, 50, tzinfo=ZONE)
    start = before.astimezone(ZoneInfo("UTC")) + timedelta(hours=1)
    late = Session(pk=1, number=1, planned_start=start, planned_end=start + timedelta(minutes=20))
    times = clock.session_times(late, [Delay(minutes=30, from_planned=start)], start)
    day = Trackday(date=date(2026, 10, 25), venue=Venue(timezone="Europe/Dublin"))
    assert times.end - times.start == timedelta(minutes=20)
    assert f"{clock.local(day, start):%H:%M}" == "01:50"
    assert f"{clock.local(day, times.start):%H:%M}" == "01:20"
