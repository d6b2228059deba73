"""How many more bikes fit."""

import pytest

from jobs.planning import Capacity, ProblemError, bike_like, capacity

from .building import BEN, day, task


def full_by(minutes):
    """One helper and a window for so many five-minute tasks."""
    return day(task("a", window=(480, 480 + minutes)), crew=[BEN])


@pytest.mark.parametrize(("minutes", "more"), [(5, 0), (10, 1), (29, 4), (40, 7)])
def test_exactly_as_many_bikes_as_fit(minutes, more):
    problem = full_by(minutes)
    assert capacity(problem, bike_like(problem, "a")) == Capacity(more)


def test_a_costly_task_is_never_missed_for_another_bike():
    problem = day(task("safety", window=(480, 485), miss_cost=100), crew=[BEN])
    assert capacity(problem, [task("cheap", window=(480, 485), miss_cost=1)]) == Capacity(0)


def test_a_capacity_in_words():
    assert (str(Capacity(3)), str(Capacity(0))) == ("at least 3 more", "none more")


def test_an_unknown_bike_is_refused():
    with pytest.raises(ProblemError, match="bike 9: no task of the problem is on it"):
        bike_like(full_by(5), 9)
