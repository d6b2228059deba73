"""A task that does not fit is offered the first free place in other windows."""

from jobs.planning import CrewMember, Day, Task, first_gaps, plan

HELPER = frozenset({"helper"})


def busy_day(*later):
    """One helper, one long task, and a second that only fits later."""
    long = Task("long", bike=1, minutes=20, skill="helper", windows=((500, 520),), miss_cost=90)
    sag = Task("sag", bike=2, minutes=8, skill="helper", windows=((500, 520),), miss_cost=10)
    return Day((CrewMember("Pim", HELPER, ((560, 600),)),), (long, sag, *later))


def test_the_first_start_at_which_people_and_bike_are_free():
    other = Task("read", bike=2, minutes=3, skill="helper", windows=((530, 533),), miss_cost=50)
    day = busy_day(other)
    made = plan(day, iterations=20)
    assert [m.task for m in made.missed] == ["sag"]
    assert first_gaps(day, made, {"sag": [(525, 545)]}) == {"sag": 533}
    assert first_gaps(day, made, {"sag": [(531, 540), (570, 620)]}) == {"sag": 600}


def test_none_where_it_fits_nowhere_or_is_planned_already():
    day = busy_day()
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"sag": [(560, 600)]}) == {}
    assert first_gaps(day, made, {"long": [(530, 560)]}) == {"long": 530}


def test_what_is_past_is_no_gap():
    day = busy_day()
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"sag": [(525, 560)]}, now=540) == {"sag": 540}


def test_not_before_what_it_requires_and_nowhere_if_that_is_missed():
    count = Task("count", bike=2, minutes=5, skill="helper", windows=((530, 535),), miss_cost=50)
    last = Task(
        "last", bike=2, minutes=4, skill="helper", windows=((500, 505),), requires=("count",)
    )
    day = busy_day(count, last)
    made = plan(day, iterations=20)
    assert first_gaps(day, made, {"last": [(521, 560)]}) == {"last": 535}
    lost = Task("lost", bike=2, minutes=2, skill="helper", windows=((500, 520),), requires=("sag",))
    day = busy_day(lost)
    assert first_gaps(day, plan(day, iterations=20), {"lost": [(530, 560)]}) == {}
