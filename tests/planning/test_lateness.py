"""Lateness that costs more than leaving a task out, and tasks that require others."""

import random
from itertools import permutations

from jobs.planning import Assignment, Cause, CrewMember, plan, reason_words, validate

from .building import day, task

TUNER = CrewMember("T", frozenset({"tuner"}))
TINY_DAYS = 150


def tuner_task(name, window, **fields):
    return task(name, window, skill="tuner", **fields)


def test_a_task_too_late_to_be_worth_it_leaves_its_person_to_another():
    problem = day(
        tuner_task("a", (500, 510), minutes=10, miss_cost=20),
        tuner_task("c", (500, 540), miss_cost=5, due=505, late_cost_per_min=2),
        crew=[TUNER],
    )
    made = plan(problem)
    assert made.assignments == (Assignment("a", 500, ("T",)),)
    assert made.cost == 5
    (missed,) = made.missed
    # 33 starts are so late that they cost 5 or more; in the other 3 the tuner is busy.
    assert missed.reason.blocked == ((Cause.CHOICE, 33), (Cause.TUNER, 3))
    assert reason_words(problem, missed) == ("left out for work that matters more; done instead: a")


def test_the_minutes_before_now_are_past_and_no_choice():
    problem = day(
        tuner_task("c", (500, 540), miss_cost=5, due=505, late_cost_per_min=2), crew=[TUNER]
    )
    (missed,) = plan(problem, now=520).missed
    assert missed.reason.blocked == ((Cause.CHOICE, 16), (Cause.PAST, 20))


def test_what_requires_a_late_task_is_lost_with_it():
    late = tuner_task("late", (520, 560), miss_cost=5, due=525, late_cost_per_min=2)
    problem = day(
        tuner_task("long", (515, 535), minutes=15, miss_cost=90),
        late,
        tuner_task("next", (500, 560), requires=("late",), miss_cost=20),
        tuner_task("after that", (500, 560), requires=("next",), miss_cost=20),
        crew=[TUNER],
    )
    made = plan(problem)
    assert [(late.task, late.minutes) for late in made.late] == [("late", 10)]
    assert made.cost == 20
    starts = {a.task: a.start for a in made.assignments}
    assert starts["late"] + 5 <= starts["next"]
    assert starts["next"] + 5 <= starts["after that"]


def tiny_day(rng):
    tasks = []
    for i in range(rng.choice((4, 5))):
        first, minutes = 500 + rng.randrange(10), rng.randrange(3, 11)
        last = first + minutes + rng.randrange(30)
        tasks.append(
            tuner_task(
                f"t{i}",
                (first, last),
                minutes=minutes,
                due=rng.randrange(first + minutes, last + 1),
                miss_cost=rng.randrange(2, 30),
                late_cost_per_min=rng.randrange(4),
                requires=(f"t{rng.randrange(i)}",) if i and rng.random() < 0.25 else (),
            )
        )
    return day(*tasks, crew=[TUNER])


def least_cost(problem):
    """The least cost of any order of any of the tasks, each begun as soon as it can be."""
    everything = sum(t.miss_cost for t in problem.tasks)
    costs = [everything]
    for count in range(1, len(problem.tasks) + 1):
        for order in permutations(problem.tasks, count):
            costs.append(everything + order_cost(order))
    return min(costs)


def order_cost(order):
    """What an order costs against doing nothing; without end if it breaks a rule."""
    minute, cost, done = 0, 0, set()
    for each in order:
        start = max(minute, each.windows[0][0])
        minute = start + each.minutes
        if minute > each.windows[0][1] or not done.issuperset(each.requires):
            return float("inf")
        cost += each.late_cost(start) - each.miss_cost
        done.add(each.id)
    return cost


def test_no_tiny_day_costs_more_than_its_optimum():
    rng = random.Random(5)
    costs, least = [], []
    for _ in range(TINY_DAYS):
        problem = tiny_day(rng)
        made = plan(problem, iterations=600)
        assert validate(problem, made) == []
        costs.append(made.cost)
        least.append(least_cost(problem))
    assert costs == least
    assert sum(cost > 0 for cost in least) > TINY_DAYS / 2  # the days do have something to lose
