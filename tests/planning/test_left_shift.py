"""A plan is an active schedule (Giffler and Thompson 1960): nothing starts later than it could."""

from dataclasses import replace
from itertools import combinations

import pytest

from jobs.planning import plan, replan, validate
from jobs.planning.bench.random_days import random_day
from jobs.planning.compiled import day_compile
from jobs.planning.left_shift import HELPER_WAIT_MIN, left_shift
from jobs.planning.search import Preferences
from jobs.planning.timetable import CrewTimetable

from .building import ANN, BEN, day, task


def _plain(problem):
    """The day without due times and bays, both of which may matter more than an early start."""
    tasks = (replace(t, place=None, due=None, late_cost_per_min=0) for t in problem.tasks)
    return replace(problem, tasks=tuple(tasks))


def _earlier(problem, made):
    """Every way in which one task alone could start earlier, judged by the independent check.

    What a helper does may wait ten minutes for one.
    """
    minutes = {t.id: t for t in problem.tasks}
    for n, one in enumerate(made.assignments):
        first = min(a for a, _ in minutes[one.task].windows)
        for crew in combinations([m.id for m in problem.crew], minutes[one.task].people):
            helped = len(one.crew) == 1 and one.crew[0].startswith("helper")
            for start in range(first, one.start - HELPER_WAIT_MIN * helped):
                moved = list(made.assignments)
                moved[n] = replace(one, start=start, crew=crew)
                if not validate(problem, replace(made, assignments=tuple(moved))):
                    yield one.task, start, crew


@pytest.mark.parametrize("seed", range(4))
def test_no_task_could_start_earlier_unless_another_is_moved(seed):
    problem = _plain(random_day(3, seed))
    made = plan(problem, iterations=150, seed=seed)
    assert validate(problem, made) == []
    assert list(_earlier(problem, made)) == []


def test_a_tuner_does_no_helpers_work_while_a_helper_is_free():
    problem = day_compile(day(task("a", bike=1)))
    table = CrewTimetable(problem)
    ann, ben = problem.crew_index["Ann"], problem.crew_index["Ben"]
    table.place(0, 500 - problem.base, (ann,))
    left_shift(table, Preferences())
    assert (table.start[0] + problem.base, table.crew[0]) == (480, (ben,))


@pytest.mark.parametrize(("busy_until", "taken_by"), [(490, "Ben"), (491, "Ann")])
def test_a_task_waits_up_to_ten_minutes_for_a_helper(busy_until, taken_by):
    hers = task("hers", (530, 540), skill="tuner")
    problem = day_compile(day(task("a"), task("busy", minutes=busy_until - 480), hers))
    table = CrewTimetable(problem)
    ann, ben = problem.crew_index["Ann"], problem.crew_index["Ben"]
    a, busy = problem.index["a"], problem.index["busy"]
    table.place(busy, 480 - problem.base, (ben,))
    table.place(a, 500 - problem.base, (ann,))
    left_shift(table, Preferences(fixed=frozenset({busy})))
    assert table.crew[a] == (problem.crew_index[taken_by],)
    assert table.start[a] + problem.base == (busy_until if taken_by == "Ben" else 480)


def test_tasks_of_the_previous_plan_are_not_started_earlier():
    problem = day(task("a", (500, 540)), crew=[ANN, BEN])
    before = plan(problem)
    opened = day(task("a", (480, 540)), crew=[ANN, BEN])
    assert replan(opened, before).assignments == before.assignments
    assert plan(opened).assignments[0].start == 480
