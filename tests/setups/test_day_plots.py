"""What the day's pictures are drawn from."""

from decimal import Decimal

import pytest

from jobs.setups import services
from jobs.setups.day_plots import _clean_median, _one_of_each_pair, _panel_name, day_plots
from jobs.setups.models import Reading
from jobs.setups.selectors import standings_of_entry
from jobs.setups.services.readings import Value
from tests.days import day_build

from .writing import change, change_legs, fork_legs, origin

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("laps", "median"),
    [
        # By the rule by hand: 121.9, 108.7 and 130.2 are dropped.
        ((121.9, 103.4, 102.8, 102.5, 102.9, 108.7, 102.6, 103.1, 102.7, 130.2), 102.8),
        ((121.9, 103.4), 112.65),  # too few to say which are clean
    ],
)
def test_pace_is_drawn_by_clean_laps(laps, median):
    assert _clean_median(laps) == pytest.approx(median)


def test_a_single_pressure_of_each_end_is_no_picture(tuner, business, cast):
    entry = day_build(bikes=1).entries[0]
    for end in ("front", "rear"):
        take(tuner, entry, end, 200)
    assert titles(entry) == []
    take(tuner, entry, "rear", 210)
    assert titles(entry) == ["Pressures"]


def test_a_leg_is_named_where_the_other_is_drawn_beside_it(tuner, business, cast):
    entry = day_build(bikes=1).entries[0]
    legs = fork_legs(entry)
    change_legs(tuner, entry, legs, (6, 5))
    assert [panel for panel in panels(entry) if "preload" in panel] == ["Front preload"]
    change(tuner, entry, 5, 4, adjuster=legs[1])
    assert [panel for panel in panels(entry) if "preload" in panel] == [
        "Front preload, left leg",
        "Front preload, right leg",
    ]


def panels(entry):
    drawn = [s for s in _one_of_each_pair(standings_of_entry(entry)) if s.moved]
    return [_panel_name(standing, drawn) for standing in drawn]


def take(by, entry, end, kpa):
    services.reading_take(
        origin=origin(by, entry), bike=entry.bike, kind="pressure", end=end,
        values=[Value("pressure", Decimal(kpa), "kPa")],
    )  # fmt: skip


def titles(entry):
    readings = Reading.objects.filter(entry=entry).prefetch_related("measurements")
    return [plot["title"] for plot in day_plots(entry, [], list(readings))]
