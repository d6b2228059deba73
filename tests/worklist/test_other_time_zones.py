"""A day far from UTC: what happened on it is told by the date at its venue."""

import json
from datetime import timedelta

import pytest
from django.db.models import F

from jobs.advice.selectors.bike_facts import bike_facts_of
from jobs.garage.models import Fitting
from jobs.trackday.models import BikeMove, Trackday, Venue
from jobs.tuning.terms import End
from jobs.worklist.selectors import day_read
from jobs.worklist.services import checklists_load
from tests.acts.doing import clock_set
from tests.days import day_build, local
from tests.shape.source import ROOT

pytestmark = pytest.mark.django_db

# In June Auckland's clocks are eleven hours before Dublin's: its 09:00 is 22:00 in Dublin,
# and 21:00 UTC, of the day before.
EARLIER = timedelta(hours=11)


@pytest.fixture
def day(cast):
    """The day of ``tests.days`` at 07:45 in Auckland; its one bike has arrived."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day = day_build(bikes=1)
    Venue.objects.update(timezone="Pacific/Auckland")
    day.trackday.sessions.update(
        planned_start=F("planned_start") - EARLIER, planned_end=F("planned_end") - EARLIER
    )
    BikeMove.objects.create(
        entry=day.entries[0], move="arrived", at=local(7) - EARLIER, by=cast.helper
    )
    clock_set(day.trackday, local(7, 45) - EARLIER)
    return day


def tyre(day, at, name="Varsk Halm 120", **fields):
    bike = day.entries[0].bike
    return Fitting.objects.create(
        bike=bike, kind="tyre", end="front", name=name, fitted_at=at, **fields
    )


def second_looks(day) -> int:
    """How many tasks ask a second person to look at a wheel that was touched."""
    trackday = Trackday.objects.select_related("venue").get(pk=day.trackday.pk)
    (bike,) = day_read(trackday).bikes
    return sum(task.item.code == "second-person" for task in bike.tasks)


@pytest.mark.parametrize(
    ("fitted", "asked"),
    [
        (local(7, 30), 1),  # on the day's morning at the venue, the day before by UTC
        (local(0), 1),
        (local(0) - timedelta(minutes=1), 0),
    ],
)
def test_a_wheel_fitted_on_the_venues_morning_is_looked_at_by_a_second_person(day, fitted, asked):
    tyre(day, fitted - EARLIER)
    assert second_looks(day) == asked


def test_a_tyre_fitted_on_the_venues_morning_is_a_new_one(day):
    morning = local(7, 30) - EARLIER
    before = tyre(day, morning - timedelta(days=20), "Varsk Halm 110", removed_at=morning)
    now = tyre(day, morning)
    trackday = Trackday.objects.select_related("venue").get(pk=day.trackday.pk)
    bike = bike_facts_of([], [], [now, before], [], trackday)
    assert bike.tyres[End.FRONT].new_model
