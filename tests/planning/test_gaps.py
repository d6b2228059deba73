"""A task that does not fit is offered the first free time in other windows."""

from jobs.planning import CrewMember, PlanningDay, PlanningTask, first_gaps, plan

HELPER = frozenset({"helper"})


def busy_day(*later):
    """One helper, one long task, and a second that only fits later."""
    long = PlanningTask(
        "long", bike=1, minutes=20, skill="helper", windows=((500, 520),), miss_cost=90
    )
    sag = PlanningTask(
        "sag", bike=2, minutes=8, skill="helper", windows=((500, 520),), miss_cost=10
    )
    return PlanningDay((CrewMember("Pim", HELPER, ((560, 600),)),), (long, sag, *later))


def test_the_first_start_at_which_people_and_bike_are_free():
    other = PlanningTask(
        "read", bike=2, minutes=3, skill="helper", windows=((530, 533),), miss_cost=50
    )
    day = busy_day(other)
    made = plan(day, iterations=20)
    assert [m.task for m in made.missed] == ["sag"]
    assert first_gaps(day, made, {"sag": [(525, 545)]}) == {"sag": 533}
    assert first_gaps(day, made, {"sag": [(531, 540), (570, 620)]}) == {"sag": 600}


def test_no_gap_for_a_task_that_fits_nowhere_or_is_planned_already():
    day = busy_day()
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"sag": [(560, 600)]}) == {}
    assert first_gaps(day, made, {"long": [(530, 560)]}) == {"long": 530}


def test_no_gap_in_the_past():
    day = busy_day()
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"sag": [(525, 560)]}, now=540) == {"sag": 540}


def test_a_gap_comes_after_what_the_task_requires_and_only_if_that_is_done():
    count = PlanningTask(
        "count", bike=2, minutes=5, skill="helper", windows=((530, 535),), miss_cost=50
    )
    last = PlanningTask(
        "last", bike=2, minutes=4, skill="helper", windows=((500, 505),), requires=("count",)
    )
    day = busy_day(count, last)
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"last": [(521, 560)]}) == {"last": 535}
    lost = PlanningTask(
        "lost", bike=2, minutes=2, skill="helper", windows=((500, 520),), requires=("sag",)
    )
    day = busy_day(lost)
    assert first_gaps(day, plan(day, iterations=20), {"lost": [(530, 560)]}) == {}
