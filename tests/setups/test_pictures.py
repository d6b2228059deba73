"""What the day's pictures are drawn from."""

from decimal import Decimal

import pytest

from jobs.setups import services
from jobs.setups.models import Reading
from jobs.setups.pictures import _clean_median, day_plots
from jobs.setups.services.readings import Value
from tests.days import day_build

from .writing import made

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


def take(by, entry, end, kpa):
    services.reading_take(
        made=made(by, entry), bike=entry.bike, kind="pressure", end=end,
        values=[Value("pressure", Decimal(kpa), "kPa")],
    )  # fmt: skip


def titles(entry):
    readings = Reading.objects.filter(entry=entry).prefetch_related("measurements")
    return [plot["title"] for plot in day_plots(entry, [], list(readings))]
