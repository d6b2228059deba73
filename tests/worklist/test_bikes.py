"""A bike's state in a word: "nothing open" needs both safety checks made and passed."""

import pytest

from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove
from jobs.worklist.enums import BikeState, Cadence, TaskState
from jobs.worklist.models import ChecklistItem
from jobs.worklist.services import day_checklists_keep
from tests.acts.conftest import day  # noqa: F401
from tests.acts.doing import bike_now, clock_set, do, item, task_now, tick
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(day, helper):  # noqa: F811
    """Here at 08:30 with everything done but its two safety checks; it rolls at 09:00."""
    entry = day.entries[0]
    day_checklists_keep(trackday=day.trackday)
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=helper)
    clock_set(day.trackday, local(8, 45))
    for task in bike_now(entry).open_tasks:
        if not task.item.safety:
            done(entry, task, helper)
    return entry


def done(entry, task, by):
    skipped = do(
        "skip", by, entry.trackday,
        entry=entry.pk, session=task.session_id, item=task.item.pk, reason="for this test",
    )  # fmt: skip
    assert skipped.outcome == "applied", skipped.answer


def first_session(entry):
    return bike_now(entry).where.coming.times.session.pk


def test_nothing_open_is_shown_once_both_checks_are_passed(entry, helper):
    assert bike_now(entry).state == BikeState.OPEN
    tick("safety", helper, entry)
    assert bike_now(entry).state == BikeState.OPEN
    tick("pre-grid", helper, entry, first_session(entry))
    assert bike_now(entry).state == BikeState.NOTHING_OPEN


def test_nothing_open_is_never_shown_when_the_arrival_check_was_skipped(entry, helper):
    tick("pre-grid", helper, entry, first_session(entry))
    done(entry, task_now(entry, "safety"), helper)
    assert bike_now(entry).state == BikeState.NOT_CHECKED


def test_nothing_open_is_never_shown_when_the_pre_grid_check_was_skipped(entry, helper):
    tick("safety", helper, entry)
    done(entry, task_now(entry, "pre-grid", first_session(entry)), helper)
    assert bike_now(entry).state == BikeState.NOT_CHECKED


@pytest.mark.parametrize("missing", [Cadence.ONCE, Cadence.BEFORE])
def test_nothing_open_is_never_shown_where_no_such_check_is_asked_for(entry, helper, missing):
    tick("safety", helper, entry)
    tick("pre-grid", helper, entry, first_session(entry))
    ChecklistItem.objects.filter(safety=True, cadence=missing).update(safety=False)
    assert bike_now(entry).state == BikeState.NOT_CHECKED


@pytest.mark.parametrize("code", ["safety", "pre-grid"])
def test_nothing_open_is_never_shown_while_a_point_was_not_looked_at(entry, helper, code):
    tick("safety", helper, entry)
    tick("pre-grid", helper, entry, first_session(entry))
    session = first_session(entry) if code == "pre-grid" else None
    points = {point["code"]: "pass" for point in item(entry.trackday, code).points}
    points[next(iter(points))] = "not_checked"
    tick(code, helper, entry, session, points=points)
    assert bike_now(entry).state == BikeState.NOT_CHECKED


def test_the_arrival_check_stays_open_until_somebody_makes_it(entry, helper):
    clock_set(entry.trackday, local(15))
    do("bike in", helper, entry.trackday, entry=entry.pk)
    task = task_now(entry, "safety")
    assert task.closes < bike_now(entry).at
    assert task.state == TaskState.OPEN


def test_a_pre_grid_check_is_missed_once_the_bike_has_rolled(entry, helper):
    session = first_session(entry)
    clock_set(entry.trackday, local(9, 21))
    do("bike in", helper, entry.trackday, entry=entry.pk)
    assert task_now(entry, "pre-grid", session).state == TaskState.MISSED
