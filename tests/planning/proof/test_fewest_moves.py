"""At the same cost as many tasks as possible keep their start and their people."""

from dataclasses import replace
from itertools import combinations, product

import pytest

from jobs.planning import plan, replan, validate
from jobs.planning.bench.random_days import DELAY, DELAY_AT, delayed, random_day
from jobs.planning.compiled import day_compile
from jobs.planning.planner import finish_plan, start_from_previous
from jobs.planning.previous_plan import started_assignments
from jobs.planning.proof.fewest_moves import reduce_moves
from jobs.planning.search import MOVE_TOLERANCE_MIN, Preferences, Search, TimeLimit
from jobs.planning.timetable import CrewTimetable

from ..building import ANN, BEN, day, task

UNTIMED = TimeLimit(None)


def table_of(problem, slots):
    """A timetable with ``slots[task] = (start, people)``, in minutes of the day and ids."""
    table = CrewTimetable(problem)
    for name, (start, people) in slots.items():
        crew = tuple(problem.crew_index[p] for p in people)
        table.place(problem.index[name], start - problem.base, crew)
    return table


def slots_of(table):
    return {a.task: (a.start, a.crew) for a in table.assignments()}


def as_previous_slots(problem, slots):
    return {
        problem.index[name]: (start - problem.base, tuple(problem.crew_index[p] for p in people))
        for name, (start, people) in slots.items()
    }


def test_people_who_swapped_work_without_gain_swap_it_back():
    """Neither can be moved back alone: each has the place of the other."""
    problem = day_compile(day(task("A", (480, 485)), task("B", (480, 485))))
    before = {"A": (480, ("Ann",)), "B": (480, ("Ben",))}
    table = table_of(problem, {"A": (480, ("Ben",)), "B": (480, ("Ann",))})
    reduce_moves(table, Preferences(previous_slots=as_previous_slots(problem, before)), UNTIMED)
    assert slots_of(table) == before


def test_three_tasks_that_exchanged_their_times_go_back():
    tasks = [task(name, (480, 510), minutes=10) for name in "ABC"]
    problem = day_compile(day(*tasks, crew=(BEN,)))
    before = {"A": (480, ("Ben",)), "B": (490, ("Ben",)), "C": (500, ("Ben",))}
    turned = {"A": (490, ("Ben",)), "B": (500, ("Ben",)), "C": (480, ("Ben",))}
    table = table_of(problem, turned)
    reduce_moves(table, Preferences(previous_slots=as_previous_slots(problem, before)), UNTIMED)
    assert slots_of(table) == before


def test_what_would_cost_more_or_is_fixed_is_not_moved_back():
    late = task("A", (480, 520), due=490, late_cost_per_min=1)
    fixed = task("B", (480, 520))
    problem = day_compile(day(late, fixed, crew=(BEN,)))
    now = {"A": (480, ("Ben",)), "B": (500, ("Ben",))}
    table = table_of(problem, now)
    previous_slots = as_previous_slots(problem, {"A": (510, ("Ben",)), "B": (512, ("Ben",))})
    preferences = Preferences(previous_slots=previous_slots, fixed=frozenset({problem.index["B"]}))
    reduce_moves(table, preferences, UNTIMED)
    assert slots_of(table) == now


def least_moved(problem, given, previous_slots, start_of):
    """The fewest moved tasks among plans that cost no more, found by trying every plan."""
    cost = table_of(problem, start_of).cost
    choices = []
    for one in given.tasks:
        near = range(
            previous_slots[one.id][0] - MOVE_TOLERANCE_MIN,
            previous_slots[one.id][0] + MOVE_TOLERANCE_MIN + 1,
        )
        starts = {start_of[one.id][0], *near}
        people = combinations([m.id for m in given.crew], one.people)
        choices.append(list(product(sorted(starts), people)))
    found = []
    whole = plan(given, iterations=0)
    for places in product(*choices):
        slots = dict(zip([t.id for t in given.tasks], places, strict=True))
        made = [
            replace(a, start=slots[a.task][0], crew=slots[a.task][1]) for a in whole.assignments
        ]
        worth = sum(
            t.late_cost_per_min * max(0, slots[t.id][0] + t.minutes - t.due)
            for t in given.tasks
            if t.due is not None
        )
        candidate = replace(whole, assignments=tuple(made), missed=(), cost=worth)
        if worth <= cost and not validate(given, candidate):
            found.append(
                sum(
                    abs(slots[t][0] - was[0]) > MOVE_TOLERANCE_MIN
                    or set(slots[t][1]) != set(was[1])
                    for t, was in previous_slots.items()
                )
            )
    return min(found)


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_of_the_same_cost_moves_fewer_tasks(seed):
    """Three tasks on two bikes and two people, compared with trying every slot."""
    given = day(
        task("A", (480, 500), bike=1, due=486 + seed, late_cost_per_min=2),
        task("B", (480, 500), bike=2, minutes=6, people=2),
        task("C", (480, 502), bike=1, after=("A",)),
        crew=(ANN, BEN),
    )
    problem = day_compile(given)
    previous_slots = {
        "A": (486 + seed, ("Ben",)),
        "B": (480, ("Ann", "Ben")),
        "C": (492 + seed, ("Ann",)),
    }
    now = {"A": (480, ("Ann",)), "B": (488, ("Ann", "Ben")), "C": (495, ("Ben",))}
    table = table_of(problem, now)
    preferences = Preferences(previous_slots=as_previous_slots(problem, previous_slots))
    reduce_moves(table, preferences, UNTIMED)
    moved = sum(
        preferences.moved(t, table.start[t], table.crew[t]) for t in range(len(problem.tasks))
    )
    assert moved == least_moved(problem, given, previous_slots, now)


@pytest.mark.parametrize("seed", [3, 8])
def test_a_full_day_stays_valid_costs_no_more_and_moves_fewer_tasks(seed):
    given = random_day(8, seed)
    made = plan(given, iterations=50)
    after = delayed(given, DELAY_AT, DELAY)
    quick = replan(after, made, previous_input=given, now=DELAY_AT, iterations=0)
    table, preferences = start_from_previous(
        after, quick, previous_input=None, now=DELAY_AT, locked=()
    )
    Search(table, seed, replace(preferences, previous_slots={})).run(500, UNTIMED)
    before = [(t, table.start[t], table.crew[t]) for t in range(len(table.start))]
    fixed = [slot for slot in before if slot[0] in preferences.fixed]
    cost = table.cost
    reduce_moves(table, preferences, UNTIMED)
    now = [(t, table.start[t], table.crew[t]) for t in range(len(table.start))]
    assert table.cost <= cost
    assert [slot for slot in now if slot[0] in preferences.fixed] == fixed
    assert {t for t, start, _ in before if start >= 0} == {t for t, start, _ in now if start >= 0}

    def moved(slots):
        return sum(preferences.moved(*slot) for slot in slots if slot[1] >= 0)

    assert moved(now) < moved(before)
    closer = finish_plan(after, table, preferences, 500, seed, cut=False)
    assert (
        validate(after, closer, locked=started_assignments(after, quick, DELAY_AT), now=DELAY_AT)
        == []
    )
