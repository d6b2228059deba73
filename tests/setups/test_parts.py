"""Parts on a bike: each counts its own outings, and a tyre put on makes its pressure unknown."""

import pytest

from jobs.garage.models import Fitting
from jobs.setups.selectors import parts_of_bike, standings_of_entry

from ..days import day_build, local
from .writing import arrive, change, tyre_pressure

pytestmark = pytest.mark.django_db


@pytest.fixture
def entries(cast):
    return day_build(bikes=2).entries


def fit(entry, name="Rear tyre", **more):
    more.setdefault("fitted_at", local(8))
    return Fitting.objects.create(bike=entry.bike, kind="tyre", end="rear", name=name, **more)


def seen(entry, at):
    return [(part.fitting.name, part.outings) for part in parts_of_bike(entry.bike, at)]


def test_a_part_counts_the_outings_ended_since_it_was_fitted_until_it_came_off(tuner, entries):
    entry, other = entries
    arrive(tuner, entry)
    fit(entry, "old", removed_at=local(10))
    fit(entry, "new", fitted_at=local(10))
    fit(other, "another bike's")
    assert seen(entry, local(9, 10)) == [("new", 0), ("old", 0)]
    assert seen(entry, local(9, 21)) == [("new", 0), ("old", 1)]
    assert seen(entry, local(10, 41)) == [("new", 1), ("old", 1)]
    assert seen(other, local(10, 41)) == [("another bike's", 0)]


def test_a_bike_without_parts_has_none(entries):
    assert seen(entries[0], local(12)) == []


@pytest.mark.parametrize(("due", "said"), [(None, False), (3, False), (2, True), (1, True)])
def test_a_service_is_due_after_so_many_outings(tuner, entries, due, said):
    entry = entries[0]
    arrive(tuner, entry)
    fit(entry, due_after_outings=due)
    [part] = parts_of_bike(entry.bike, local(10, 41))
    assert (part.outings, part.service_due) == (2, said)


def pressure_stands_at(entry):
    found = standings_of_entry(entry)
    return next(standing.position for standing in found if standing.is_pressure)


def test_a_pressure_stands_until_that_tyre_comes_off_this_bike(tuner, entries):
    entry, other = entries
    change(tuner, entry, 31, 30, adjuster=tyre_pressure(entry), tyre_state="cold", at=local(8, 30))
    fit(other, removed_at=local(9))
    assert pressure_stands_at(entry) == 30
    tyre = fit(entry, removed_at=local(8, 15))
    assert pressure_stands_at(entry) == 30
    tyre.removed_at = local(9)
    tyre.save()
    assert pressure_stands_at(entry) is None
