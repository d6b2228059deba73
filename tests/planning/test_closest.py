"""At the same cost, as much as possible stays where it was and with whom it was."""

from dataclasses import replace
from itertools import combinations, product

import pytest

from jobs.planning import plan, replan, validate
from jobs.planning.bench import DELAY, DELAY_AT, delayed
from jobs.planning.closest import come_closer
from jobs.planning.compiled import day_compile
from jobs.planning.days import random_day
from jobs.planning.planner import begin_again, finished
from jobs.planning.reference import begun
from jobs.planning.search import NEAR, Clock, Search, Wishes
from jobs.planning.timetable import Timetable

from .making import ANN, BEN, day, task

UNTIMED = Clock(None)


def table_of(problem, slots):
    """A timetable with ``slots[task] = (start, people)``, in minutes of the day and ids."""
    table = Timetable(problem)
    for name, (start, people) in slots.items():
        crew = tuple(problem.crew_index[p] for p in people)
        table.place(problem.index[name], start - problem.base, crew)
    return table


def slots_of(table):
    return {a.task: (a.start, a.crew) for a in table.assignments()}


def as_reference(problem, slots):
    return {
        problem.index[name]: (start - problem.base, tuple(problem.crew_index[p] for p in people))
        for name, (start, people) in slots.items()
    }


def test_two_who_swapped_work_for_nothing_swap_it_back():
    """Neither can go home alone: each stands in the other's way."""
    problem = day_compile(day(task("A", (480, 485)), task("B", (480, 485))))
    before = {"A": (480, ("Ann",)), "B": (480, ("Ben",))}
    table = table_of(problem, {"A": (480, ("Ben",)), "B": (480, ("Ann",))})
    come_closer(table, Wishes(reference=as_reference(problem, before)), UNTIMED)
    assert slots_of(table) == before


def test_a_ring_of_three_in_time_is_turned_back():
    tasks = [task(name, (480, 510), minutes=10) for name in "ABC"]
    problem = day_compile(day(*tasks, crew=(BEN,)))
    before = {"A": (480, ("Ben",)), "B": (490, ("Ben",)), "C": (500, ("Ben",))}
    turned = {"A": (490, ("Ben",)), "B": (500, ("Ben",)), "C": (480, ("Ben",))}
    table = table_of(problem, turned)
    come_closer(table, Wishes(reference=as_reference(problem, before)), UNTIMED)
    assert slots_of(table) == before


def test_what_would_cost_more_or_is_held_does_not_go_home():
    late = task("A", (480, 520), due=490, late_cost_per_min=1)
    held = task("B", (480, 520))
    problem = day_compile(day(late, held, crew=(BEN,)))
    now = {"A": (480, ("Ben",)), "B": (500, ("Ben",))}
    table = table_of(problem, now)
    reference = as_reference(problem, {"A": (510, ("Ben",)), "B": (512, ("Ben",))})
    wishes = Wishes(reference=reference, held=frozenset({problem.index["B"]}))
    come_closer(table, wishes, UNTIMED)
    assert slots_of(table) == now


def least_moved(problem, given, reference, start_of):
    """By trying everything: the fewest moved among plans that cost no more."""
    cost = table_of(problem, start_of).cost
    choices = []
    for one in given.tasks:
        near = range(reference[one.id][0] - NEAR, reference[one.id][0] + NEAR + 1)
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
                    abs(slots[t][0] - was[0]) > NEAR or set(slots[t][1]) != set(was[1])
                    for t, was in reference.items()
                )
            )
    return min(found)


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_closer_that_costs_no_more(seed):
    """Three tasks on two bikes and two people, against trying every place there is."""
    given = day(
        task("A", (480, 500), bike=1, due=486 + seed, late_cost_per_min=2),
        task("B", (480, 500), bike=2, minutes=6, people=2),
        task("C", (480, 502), bike=1, after=("A",)),
        crew=(ANN, BEN),
    )
    problem = day_compile(given)
    reference = {
        "A": (486 + seed, ("Ben",)),
        "B": (480, ("Ann", "Ben")),
        "C": (492 + seed, ("Ann",)),
    }
    now = {"A": (480, ("Ann",)), "B": (488, ("Ann", "Ben")), "C": (495, ("Ben",))}
    table = table_of(problem, now)
    wishes = Wishes(reference=as_reference(problem, reference))
    come_closer(table, wishes, UNTIMED)
    moved = sum(wishes.moved(t, table.start[t], table.crew[t]) for t in range(len(problem.tasks)))
    assert moved == least_moved(problem, given, reference, now)


@pytest.mark.parametrize("seed", [3, 8])
def test_on_a_whole_day_it_stays_valid_costs_no_more_and_moves_less(seed):
    given = random_day(8, seed)
    made = plan(given, iterations=50)
    after = delayed(given, DELAY_AT, DELAY)
    quick = replan(after, made, before=given, now=DELAY_AT, iterations=0)
    table, wishes = begin_again(after, quick, before=None, now=DELAY_AT, locked=())
    Search(table, seed, replace(wishes, reference={})).run(500, UNTIMED)
    before = [(t, table.start[t], table.crew[t]) for t in range(len(table.start))]
    held = [slot for slot in before if slot[0] in wishes.held]
    cost = table.cost
    come_closer(table, wishes, UNTIMED)
    now = [(t, table.start[t], table.crew[t]) for t in range(len(table.start))]
    assert table.cost <= cost
    assert [slot for slot in now if slot[0] in wishes.held] == held
    assert {t for t, start, _ in before if start >= 0} == {t for t, start, _ in now if start >= 0}

    def moved(slots):
        return sum(wishes.moved(*slot) for slot in slots if slot[1] >= 0)

    assert moved(now) < moved(before)
    closer = finished(after, table, wishes, 500, seed, cut=False)
    assert validate(after, closer, locked=begun(after, quick, DELAY_AT), now=DELAY_AT) == []
