"""A plan for a day that has changed: what has started stays, the rest changes little."""

from dataclasses import replace

import pytest

from jobs.planning import (
    Assignment,
    CrewMember,
    ProblemError,
    plan,
    replan,
    tasks_moved,
    validate,
)
from jobs.planning.bench.random_days import random_day
from jobs.planning.previous_plan import started_assignments

from .building import ANN, BEN, day, delayed, task


@pytest.mark.parametrize("seed", range(6))
def test_a_delay_moves_few_tasks_relative_to_their_outing(seed):
    before = random_day(20, seed)
    previous = plan(before, iterations=2000)
    after = delayed(before, 605, 15)
    made = replan(after, previous, previous_input=before, now=605)
    assert validate(after, made, locked=started_assignments(after, previous, 605), now=605) == []
    moved = tasks_moved(after, made, previous, previous_input=before)
    assert len(moved) <= 0.1 * len(made.assignments)


def test_nothing_moves_when_nothing_has_changed():
    problem = random_day(10, 1)
    previous = plan(problem, iterations=3000)
    made = replan(problem, previous, previous_input=problem, now=600)
    assert made.cost <= previous.cost
    assert len(tasks_moved(problem, made, previous)) <= 3


def test_what_has_started_is_locked():
    problem = random_day(10, 2)
    previous = plan(problem, iterations=200)
    locked = started_assignments(problem, previous, 700)
    assert locked
    assert set(locked) <= set(replan(problem, previous, now=700).assignments)


def test_what_people_did_is_kept_even_outside_the_windows():
    problem = day(task("a", bike=1), task("b", bike=2))
    done = Assignment("a", 470, ("Ann",))
    made = plan(problem, locked=[done], now=478)
    assert done in made.assignments
    assert validate(problem, made, locked=[done], now=478) == []


def test_two_locked_tasks_at_once_on_one_bike_are_accepted():
    problem = day(task("a", bike=1), task("b", bike=1))
    both = [Assignment("a", 480, ("Ann",)), Assignment("b", 482, ("Ben",))]
    made = plan(problem, locked=both, now=483)
    assert validate(problem, made, locked=both, now=483) == []


@pytest.mark.parametrize(
    ("locked", "text"),
    [
        (Assignment("z", 480, ("Ann",)), "task z: locked, but not in the problem"),
        (Assignment("a", 480, ("Zoe",)), "task a: locked to an unknown person, Zoe"),
        (Assignment("a", 480, ()), "task a: locked without a start of its day or a person"),
    ],
)
def test_an_impossible_lock_is_refused(locked, text):
    with pytest.raises(ProblemError) as refusal:
        plan(day(task("a")), locked=[locked])
    assert str(refusal.value) == text


def test_the_next_task_stays_even_where_a_better_order_exists():
    cheap = task("cheap", window=(480, 600), miss_cost=1)
    previous = plan(day(cheap, crew=[BEN]), now=481)
    assert previous.assignments == (Assignment("cheap", 481, ("Ben",)),)
    dear = task("dear", window=(481, 490), minutes=6, miss_cost=90)
    made = replan(day(cheap, dear, crew=[BEN]), previous, now=480)
    assert Assignment("cheap", 481, ("Ben",)) in made.assignments
    assert [m.task for m in made.missed] == ["dear"]


def test_work_of_someone_who_leaves_goes_to_others():
    tasks = [task(f"t{i}", window=(480, 560)) for i in range(8)]
    previous = plan(day(*tasks))
    gone = replace(BEN, off=((490, 1440),))
    problem = day(*tasks, crew=[ANN, gone])
    made = replan(problem, previous, now=490)
    assert made.missed == ()
    assert (
        validate(problem, made, locked=started_assignments(problem, previous, 490), now=490) == []
    )


def test_a_person_missing_from_the_new_day_is_accepted():
    cy = CrewMember("Cy", frozenset({"helper"}))
    previous = plan(day(task("a"), crew=[cy]))
    made = replan(day(task("a"), crew=[BEN]), previous)
    assert made.assignments[0].crew == ("Ben",)
