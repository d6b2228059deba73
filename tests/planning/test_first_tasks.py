"""``first`` tasks: a plan that misses fewer of them is better, whatever it costs.

The exact minimum is CP-SAT's (OR-Tools, https://developers.google.com/optimization), from the
definition of the problem. ``python -m jobs.planning bench`` compares 1,000 days and more.
"""

import hashlib
import json
from dataclasses import replace

import pytest

from jobs.planning import (
    Cause,
    ProblemError,
    best_helper_hours,
    best_rest_of_day,
    bike_like,
    bound,
    capacity,
    day_from_json,
    day_to_json,
    input_hash,
    plan,
    plan_from_json,
    plan_to_json,
    reason_words,
    replan,
    staffing,
    validate,
)
from jobs.planning.bench.random_days import DELAY, DELAY_AT, delayed, random_day, random_late_day
from jobs.planning.bench.safety_first import dispatched_alone, planned_first_missed
from jobs.planning.model import Assignment
from tests.planning.building import ANN, BEN, day, task

# Plans of a day, and after a delay. A change of the search changes them: see that the bench is
# no worse, then record them again.
KEPT_PLANS = {
    (4, 1): ("1d1b5d30c50f13d7", "9d699ba1e7cfe569"),
    (8, 2): ("d8b6e914f7bf1ba6", "87ef904660b424c8"),
    (12, 3): ("fd18c0cffdfad676", "332a7a9cc8a0eb8e"),
    (20, 4): ("30265327836c4d73", "06aea9061fa9907b"),
    (40, 5): ("33a4bd6c3870ac22", "f3e1a1e1a91035e1"),
}


def digest(plan):
    data = [
        [[str(a.task), a.start, list(a.crew)] for a in plan.assignments],
        [[str(m.task)] for m in plan.missed],
        [[str(x.task), x.minutes] for x in plan.late],
        plan.cost,
        plan.input_hash,
    ]
    return hashlib.sha256(json.dumps(data).encode()).hexdigest()[:16]


def done(plan):
    return {a.task for a in plan.assignments}


@pytest.mark.parametrize(("bikes", "seed"), KEPT_PLANS)
def test_a_problem_without_first_tasks_is_planned_as_recorded(bikes, seed):
    today = random_day(bikes, seed)
    before = plan(today, iterations=400, seed=seed)
    after = delayed(today, DELAY_AT, DELAY)
    again = replan(after, before, previous_input=today, now=DELAY_AT, iterations=400, seed=seed)
    assert (digest(before), digest(again)) == KEPT_PLANS[bikes, seed]
    assert (before.first_missed, before.rank) == (0, (0, before.cost))


def test_no_number_of_other_tasks_outweighs_a_first_one():
    """Ben has ten minutes: ten costly checks of a minute, or the one that costs least."""
    window = (480, 490)
    others = [task(f"o{n}", window, minutes=1, miss_cost=1000) for n in range(10)]
    today = day(task("safety", window, minutes=10, miss_cost=0, first=True), *others, crew=[BEN])
    for iterations in (0, 400):
        made = plan(today, iterations=iterations)
        assert (done(made), made.rank) == ({"safety"}, (0, 10_000))
        assert validate(today, made) == []


def test_a_first_task_that_opens_later_is_waited_for():
    """Every rule of a crew that looks at this minute alone starts the long task at 480."""
    today = day(
        task("long", (480, 500), minutes=20, miss_cost=500),
        task("safety", (482, 488), minutes=5, miss_cost=1, first=True),
        crew=[BEN],
    )
    made = plan(today, iterations=0)
    assert (done(made), made.rank) == ({"safety"}, (0, 500))


def test_what_a_first_task_requires_is_done_for_it():
    today = day(
        task("tag", (480, 490), minutes=4, miss_cost=0, bike="17"),
        task("safety", (480, 490), minutes=6, first=True, bike="17", requires=("tag",)),
        task("other", (480, 490), minutes=9, miss_cost=900),
        crew=[BEN],
    )
    assert done(plan(today, iterations=0)) == {"tag", "safety"}


def test_a_missed_first_task_has_its_reason_and_stands_before_costlier_ones():
    today = day(
        task("safety 17", (480, 485), miss_cost=1, first=True),
        task("safety 18", (480, 485), miss_cost=2, first=True),
        task("sag", (480, 485), miss_cost=500),
        crew=[BEN],
    )
    made = plan(today)
    assert made.rank == (1, 501)
    assert [m.task for m in made.missed] == ["safety 17", "sag"]
    reason = made.missed[0].reason
    assert (reason.cause, reason.done_instead) == (Cause.HELPER, ("safety 18",))
    assert "safety 18" in reason_words(today, made.missed[0])


def test_what_is_started_or_pinned_stays_and_the_check_missed_for_it_is_said():
    """A sag begun at 478 is Ben's until 486; a task pinned to 489 is his until 494."""
    sag = task("sag", (470, 540), minutes=8, bike="3")
    pinned = task("words", (470, 540), minutes=5, bike="4")
    safety = task("safety", (480, 490), minutes=5, bike="17", first=True)
    today = day(sag, pinned, safety, crew=[BEN])
    locked = (Assignment("sag", 478, ("Ben",)), Assignment("words", 489, ("Ben",)))
    for made in (
        plan(today, now=480, locked=locked),
        replan(today, plan(today, now=470), now=480, locked=locked),
    ):
        assert set(locked) <= set(made.assignments)
        assert [m.task for m in made.missed] == ["safety"]
        assert made.missed[0].reason.done_instead == ("sag", "words")
        assert made.first_missed == 1
        assert validate(today, made, locked=locked, now=480) == []


def test_the_next_task_of_somebody_yields_when_a_bike_comes_late():
    """Ben's next task stays in a new plan, but not when a safety check needs the time."""
    next_task = task("sag", (480, 492), minutes=8, bike="3", miss_cost=500)
    other = task("words", (480, 540), minutes=8, bike="4")
    before = plan(day(next_task, other, crew=[BEN]), now=480)
    safety = task("safety", (480, 488), minutes=6, bike="17", first=True)
    today = day(next_task, other, safety, crew=[BEN])
    made = replan(today, before, now=480, iterations=0)
    assert done(made) == {"safety", "words"}
    assert validate(today, made, now=480) == []


def test_a_plan_that_says_a_wrong_number_of_first_tasks_is_a_fault():
    today = day(task("safety", first=True))
    made = plan(today)
    assert validate(today, replace(made, first_missed=1)) == [
        "the plan says it misses 1 first tasks; it misses 0"
    ]


def test_json_has_first_only_where_it_is_true():
    today = day(task("safety", first=True), task("sag"))
    data = day_to_json(today)
    assert [each.get("first") for each in data["tasks"]] == [True, None]
    assert day_from_json(data).tasks[0].first
    assert input_hash(today) != input_hash(day(task("safety"), task("sag")))
    made = plan(day(task("a", (480, 484), minutes=4, first=True), crew=[BEN]), now=481)
    again = plan_from_json(plan_to_json(day(task("a", first=True)), made))
    assert (made.first_missed, again.first_missed) == (1, 1)
    data["tasks"][0]["first"] = 1
    with pytest.raises(ProblemError, match="task safety: first: true or false is expected, not 1"):
        day_from_json(data)


def test_on_small_random_days_no_more_are_missed_than_the_exact_minimum():
    pytest.importorskip("ortools")
    from jobs.planning.proof.fewest_first_missed import fewest_first_missed

    days = [random_late_day(1 + seed % 8, seed) for seed in range(40)]
    missed = [planned_first_missed(each) for each in days]
    assert missed == [fewest_first_missed(each) for each in days]
    assert sum(missed) > 10


@pytest.mark.parametrize("seed", range(2))
def test_at_forty_bikes_no_more_are_missed_than_by_a_dispatch_of_these_alone(seed):
    today = random_late_day(40, seed)
    alone = dispatched_alone(today)
    assert 0 < planned_first_missed(today) <= alone


def test_the_bound_counts_them_before_the_cost():
    """One of two safety checks fits, and beside it nothing else: 1 missed, at a cost of 14."""
    pytest.importorskip("highspy")
    today = day(
        task("safety 17", (480, 485), miss_cost=5, first=True),
        task("safety 18", (480, 485), miss_cost=5, first=True),
        task("sag", (480, 485), miss_cost=9),
        crew=[BEN],
    )
    found = bound(today, mip=True)
    assert (found.first, found.best, found.proven) == (1, 14, True)
    assert plan(today).rank == (1, 14)


def test_the_best_of_the_rest_is_proven_only_with_the_fewest_missed():
    pytest.importorskip("highspy")
    today = day(
        task("safety 17", (480, 485), miss_cost=5, first=True),
        task("safety 18", (480, 485), miss_cost=5, first=True),
        task("sag", (480, 486), miss_cost=900),
        crew=[BEN],
    )
    before = plan(day(task("sag", (480, 486), miss_cost=900), crew=[BEN]), now=470)
    found = best_rest_of_day(today, before, now=480)
    assert (found.plan.rank, found.first_bound, found.bound) == ((1, 905), 1, 905)
    assert found.proven
    assert not replace(found, first_bound=0).proven


@pytest.mark.parametrize("seed", [1, 2])
def test_the_best_of_the_rest_misses_no_more(seed):
    pytest.importorskip("highspy")
    today = random_late_day(5, seed)
    before = plan(today, iterations=100)
    found = best_rest_of_day(today, before, now=500, seconds=4)
    assert validate(today, found.plan, now=500, locked=started(before, 500)) == []
    assert found.plan.rank <= replan(today, before, now=500).rank
    assert found.first_bound <= found.plan.first_missed


def started(plan, now):
    return tuple(a for a in plan.assignments if a.start < now)


def test_the_long_search_misses_no_more():
    pytest.importorskip("highspy")
    today = random_late_day(8, 3)
    short, long = plan(today, iterations=100), plan(today, iterations=20_000)
    assert long.rank <= short.rank
    assert long.first_missed == planned_first_missed(today)
    assert validate(today, long) == []


def test_a_bike_more_never_costs_another_its_first_task():
    """One bike more would fit by cost: it would only push out a check that costs nothing."""
    today = day(
        task("safety", (480, 490), minutes=8, bike="17", miss_cost=0, first=True), crew=[BEN]
    )
    more = bike_like(day(task("sag", (480, 490), minutes=8, bike="3", first=True)), "3")
    assert capacity(today, more).bikes == 0


def test_one_more_helper_counts_by_first_tasks_saved():
    """Both hours save one task; the later one saves the check."""
    today = day(
        task("costly a", (480, 485), miss_cost=90, bike="1"),
        task("costly b", (480, 485), miss_cost=90, bike="2"),
        task("safety a", (600, 605), miss_cost=1, bike="3", first=True),
        task("safety b", (600, 605), miss_cost=1, bike="4", first=True),
        crew=[BEN],
    )
    hours, effect = best_helper_hours(today, plan(today))
    assert (hours, effect.rank) == ((600, 660), (1, 1))


def test_as_many_helpers_as_the_first_tasks_need():
    tasks = [task(f"safety {n}", (480, 485), miss_cost=0, first=True) for n in range(3)]
    worth = task("long", (600, 660), minutes=60, miss_cost=10_000, skill="tuner")
    found = staffing(day(*tasks, worth, crew=[ANN]), most=4)
    assert len(found.shifts) == 2
    assert found.missed == ()
