"""A reading, a count or words do the task they fit, wherever they were entered."""

import pytest

from jobs.garage.models import Adjuster
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove
from jobs.worklist.enums import TaskState
from tests.acts.conftest import day  # noqa: F401
from tests.acts.doing import bike_now, clock_set, do, task_now, tick
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(day, helper):  # noqa: F811
    """Here since 08:00; its group rolls at 09:00 for 18 minutes and is back at 09:20."""
    entry = day.entries[0]
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=helper)
    return entry


@pytest.fixture
def first(day, entry):  # noqa: F811
    return next(s for s in day.sessions if s.group_id == entry.group_id)


def read(entry, by, kind, end, unit="psi", state="", **numbers):
    values = [{"name": n, "value": str(v), "unit": unit} for n, v in numbers.items()]
    done = do(
        "reading", by, entry.trackday, entry=entry.pk, kind=kind, end=end, values=values,
        tyre_state=state,
    )  # fmt: skip
    assert done.outcome == "applied", done.answer
    return done


def pressures(entry, by, state, ends=("front", "rear")):
    return [read(entry, by, "pressure", end, state=state, pressure=30) for end in ends]


def count_all(entry, by):
    ids = Adjuster.objects.filter(bike=entry.bike_id).values_list("pk", flat=True)
    counts = [{"adjuster": pk, "position": "10"} for pk in ids]
    return do("count", by, entry.trackday, entry=entry.pk, counts=counts)


def state(entry, code, session=None):
    return task_now(entry, code, session).state


def test_cold_pressures_of_the_sheet_do_their_task(entry, helper):
    pressures(entry, helper, "cold")
    task = task_now(entry, "cold-pressures")
    assert (task.state, task.done_by_book) == (TaskState.DONE, True)
    assert {(fact.end, fact.by) for fact in task.read} == {
        ("front", str(helper)), ("rear", str(helper)),
    }  # fmt: skip


def test_a_reading_withdrawn_opens_its_task_again(entry, helper):
    front, _rear = pressures(entry, helper, "cold")
    do("withdraw", helper, entry.trackday, row=str(front.pk))
    assert state(entry, "cold-pressures") == TaskState.OPEN


def test_one_end_is_a_part_and_another_state_of_the_tyre_is_nothing(entry, helper):
    pressures(entry, helper, "cold", ends=["front"])
    pressures(entry, helper, "warmers")
    task = task_now(entry, "cold-pressures")
    assert task.state == TaskState.OPEN
    assert [(fact.end, fact.tyre_state) for fact in task.read] == [("front", "cold")]


def test_a_count_on_the_sheet_does_the_clicker_count(entry, helper):
    task = task_now(entry, "count")
    assert task.state == TaskState.OPEN
    done = count_all(entry, helper)
    assert state(entry, "count") == TaskState.DONE
    do("withdraw", helper, entry.trackday, row=done.answer["rows"][0])
    assert state(entry, "count") == TaskState.OPEN


def test_a_count_of_one_adjuster_is_a_part(entry, helper):
    one = Adjuster.objects.filter(bike=entry.bike_id).first()
    counts = [{"adjuster": one.pk, "position": "10"}]
    do("count", helper, entry.trackday, entry=entry.pk, counts=counts)
    task = task_now(entry, "count")
    assert (task.state, [fact.adjuster_id for fact in task.read]) == (TaskState.OPEN, [one.pk])


def test_a_push_after_an_outing_is_not_the_cold_one(entry, helper, first):
    clock_set(entry.trackday, local(9, 22))
    for end in ("front", "rear"):
        read(entry, helper, "push", end, "s", seconds=1)
    assert state(entry, "push-cold") == TaskState.MISSED
    assert state(entry, "hot-push", first.pk) == TaskState.DONE


def test_hot_reads_belong_to_the_outing_they_were_read_after(entry, helper, day, first):  # noqa: F811
    clock_set(entry.trackday, local(9, 21))
    pressures(entry, helper, "track")
    for end in ("front", "rear"):
        read(entry, helper, "tyre_temperature", end, "degC", centre=70)
    assert state(entry, "hot-reads", first.pk) == TaskState.DONE
    second = [s for s in day.sessions if s.group_id == entry.group_id][1]
    assert state(entry, "hot-reads", second.pk) == TaskState.LATER


def test_a_hot_read_begun_after_its_window_is_missed(entry, helper, first):
    """The window ends two minutes after the stop; the work itself takes two."""
    clock_set(entry.trackday, local(9, 40))
    pressures(entry, helper, "track")
    for end in ("front", "rear"):
        read(entry, helper, "tyre_temperature", end, "degC", centre=70)
    assert state(entry, "hot-reads", first.pk) == TaskState.MISSED


def test_the_riders_words_noted_anywhere_do_their_task(entry, tuner, first):
    clock_set(entry.trackday, local(9, 22))
    assert state(entry, "words", first.pk) == TaskState.OPEN
    said = do("finding", tuner, entry.trackday, entry=entry.pk, words="runs wide", by_rider=True)
    assert state(entry, "words", first.pk) == TaskState.DONE
    do("withdraw", tuner, entry.trackday, row=str(said.pk))
    assert state(entry, "words", first.pk) == TaskState.OPEN


def test_what_was_skipped_and_then_read_is_done(entry, helper):
    which = task_now(entry, "cold-pressures").item
    do("skip", helper, entry.trackday, entry=entry.pk, item=which.pk, reason="no gauge")
    pressures(entry, helper, "cold")
    assert state(entry, "cold-pressures") == TaskState.DONE


def test_what_waits_for_a_count_waits_no_more(entry, helper):
    tick("safety", helper, entry)
    tick("identify", helper, entry)
    assert task_now(entry, "push-cold").waits_for == ("count",)
    count_all(entry, helper)
    assert task_now(entry, "push-cold").waits_for == ()


def test_after_a_crash_the_mornings_readings_of_the_sheet_are_void_too(entry, helper, tuner):
    pressures(entry, helper, "cold")
    crashed = do("crash", tuner, entry.trackday, entry=entry.pk, words="fell")
    assert state(entry, "cold-pressures") == TaskState.OPEN
    do("withdraw", tuner, entry.trackday, row=str(crashed.pk))
    assert state(entry, "cold-pressures") == TaskState.DONE


def test_of_another_bike_nothing_is_done(entry, helper, day):  # noqa: F811
    other = day.entries[1]
    pressures(entry, helper, "cold")
    assert all(not task.read for task in bike_now(other).tasks)


def test_what_the_book_did_is_still_done_once_the_bike_has_gone_home(entry, helper):
    pressures(entry, helper, "cold")
    do("gone home", helper, entry.trackday, entry=entry.pk)
    tasks = {task.item.code: task.state for task in bike_now(entry).tasks}
    assert tasks == {"cold-pressures": TaskState.DONE}
