"""Which marks are a measurement of the work, and which are not."""

from collections import Counter

import pytest

from jobs.planning.work_times import NotTimed, WorkMark, WorkTime, work_times


def mark(task, what, at, **fields):
    fields = {"bike": 1, "kind": "sag", "person": "Ben", "planned": 8, "received": at, **fields}
    return WorkMark(task=task, mark=what, at=at, **fields)


def pair(task, start, end, **fields):
    return [mark(task, "started", start, **fields), mark(task, "done", end, **fields)]


def test_the_time_from_start_to_end_is_taken():
    assert work_times(pair("a", 100, 109), {}) == ([WorkTime("sag", "Ben", 8, 9)], Counter())


def test_the_last_start_before_the_end_counts():
    marks = [mark("a", "started", 90), *pair("a", 100, 109)]
    assert work_times(marks, {})[0] == [WorkTime("sag", "Ben", 8, 9)]


def test_two_people_are_a_person_of_their_own():
    (time,), _left_out = work_times(pair("a", 100, 109, people=2), {})
    assert time.person == "two people"


@pytest.mark.parametrize(
    ("why", "marks"),
    [
        (NotTimed.NO_START, [mark("a", "done", 109)]),
        (NotTimed.NO_START, [mark("a", "started", 100, person="Ann"), mark("a", "done", 109)]),
        (NotTimed.NOT_DONE, [mark("a", "started", 100)]),
        (NotTimed.NOT_DONE, [mark("a", "started", 100), mark("a", "skipped", 109)]),
        (NotTimed.SAME_MOMENT, pair("a", 100, 100.9)),
        (NotTimed.FORGOTTEN, pair("a", 100, 141)),
        (NotTimed.FORGOTTEN, pair("a", 100, 101.5)),
        (NotTimed.CLOCK, [mark("a", "started", 100), mark("a", "done", 109, received=106)]),
    ],
)
def test_marks_that_measure_nothing(why, marks):
    assert work_times(marks, {}) == ([], Counter({why: 1}))


def test_work_broken_off_when_the_bike_rolls_is_no_time():
    assert work_times(pair("a", 100, 109), {1: [105]}) == ([], Counter({NotTimed.ROLLED: 1}))
    assert work_times(pair("a", 100, 109), {1: [109], 2: [105]})[1] == Counter()


def test_who_did_something_else_in_between_worked_on_two_tasks():
    marks = [*pair("a", 100, 112), mark("b", "done", 105)]
    assert work_times(marks, {})[1] == Counter({NotTimed.OTHER_WORK: 1, NotTimed.NO_START: 1})


def test_three_tasks_ended_at_once_were_ticked_afterwards():
    marks = [
        *pair("a", 100, 109),
        *pair("b", 110, 118),
        mark("c", "done", 118.3),
        mark("d", "done", 118.6),
    ]
    times, left_out = work_times(marks, {})
    assert [time.minutes for time in times] == [9]
    assert left_out == Counter({NotTimed.NO_START: 2, NotTimed.MANY_AT_ONCE: 1})


def test_a_tablet_without_network_sends_late_and_is_believed():
    marks = [mark("a", "started", 100, received=160), mark("a", "done", 109, received=160)]
    assert work_times(marks, {})[0] == [WorkTime("sag", "Ben", 8, 9)]
