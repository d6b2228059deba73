"""Readings: kept as entered, canonical beside it; doubted, never refused for being odd."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.garage.models import Gauge
from jobs.setups import saying, services
from jobs.setups.measures import MEASURES
from jobs.setups.services.readings import Value

from ..days import day_build, local
from .writing import arrive, made

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def take(by, entry, kind, *values, at=None, **more):
    more.setdefault("end", "" if kind == "laps" else "rear")
    return services.reading_take(
        made=made(by, entry, at), bike=entry.bike, kind=kind,
        values=[Value(n, Decimal(v), u, *rest) for n, v, u, *rest in values], **more,
    )  # fmt: skip


def test_a_pressure_is_kept_as_entered_and_in_kilopascal(tuner, entry):
    """32.5 psi = 224.08 kPa: NIST SP 811 (2008), appendix B, 1 psi = 6.894757 kPa."""
    taken = take(tuner, entry, "pressure", ("pressure", "32.5", "psi"), tyre_state="cold")
    number = taken.reading.measurements.get()
    assert (number.value, number.unit) == (Decimal("32.5"), "psi")
    assert number.canonical == pytest.approx(Decimal("224.0796"), abs=Decimal("0.0001"))
    assert saying.reading(taken.reading) == "Rear tyre pressure: 32.5 psi."


def test_a_gauge_that_reads_high_is_corrected_inside_only(tuner, entry):
    gauge = Gauge.objects.create(name="van", unit="psi", offset=Decimal("0.5"))
    taken = take(tuner, entry, "pressure", ("pressure", "32.5", "psi"), gauge=gauge)
    number = taken.reading.measurements.get()
    assert number.value == Decimal("32.5")
    assert number.canonical == pytest.approx(Decimal("220.6322"), abs=Decimal("0.0001"))


def test_minutes_since_the_stop_are_worked_out(tuner, entry):
    arrive(tuner, entry)
    taken = take(tuner, entry, "pressure", ("pressure", "33", "psi"), at=local(9, 23))
    assert taken.reading.minutes_since_stop == 3
    assert taken.reading.session.number == 1


def test_an_odd_number_is_doubted_and_kept(tuner, entry):
    taken = take(tuner, entry, "pressure", ("pressure", "2.3", "kPa"))
    assert taken.doubts == ("pressure 2.3 kPa is unusual (100 to 350 kPa): look again.",)
    assert taken.reading.measurements.count() == 1


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([("pressure", "32", "")], "needs a unit"),
        ([("pressure", "32", "mm")], r"needs a unit \(kPa, psi, bar\); given: mm"),
        ([("depth", "32", "mm")], "is not part of this reading"),
        ([], "no number"),
    ],
)
def test_what_cannot_be_understood_is_named(tuner, entry, values, message):
    with pytest.raises(ValidationError, match=message):
        take(tuner, entry, "pressure", *values)


def test_an_end_is_asked_for(tuner, entry):
    with pytest.raises(ValidationError, match="front or rear"):
        take(tuner, entry, "pressure", ("pressure", "32", "psi"), end="")


def test_half_a_sag_says_what_is_missing(tuner, entry):
    with pytest.raises(ValidationError, match="Still missing: settled after a lift"):
        take(tuner, entry, "sag", ("hanging", "127", "mm"), ("after_push", "95", "mm"))


def test_lap_times_are_a_reading_of_the_outing(tuner, entry):
    laps = [("lap", seconds, "s", index) for index, seconds in enumerate(["103.4", "102.5"])]
    taken = take(tuner, entry, "laps", *laps)
    assert saying.reading(taken.reading) == "Lap times: 2 laps, best 1:42.5."


def test_a_cold_push_test_says_it_is_cold(tuner, entry):
    taken = take(tuner, entry, "push", ("seconds", "1", "s"), ("swings", "2", "count"))
    assert taken.reading.oil_state == "cold"
    assert "oil cold" in saying.reading_aside(taken.reading)
    assert saying.cold_push(taken.reading) == (
        "Oil cold, cold 3.9–4.5 times as thick as hot: not for setting rebound."
    )


def test_only_a_push_that_was_not_hot_is_marked(tuner, entry):
    hot = take(tuner, entry, "push", ("seconds", "1", "s"), oil="hot")
    sag = (("hanging", "640", "mm"), ("after_push", "606", "mm"), ("after_lift", "610", "mm"))
    assert saying.cold_push(hot.reading) == ""
    assert saying.cold_push(take(tuner, entry, "sag", *sag).reading) == ""


def test_an_end_that_stays_down_is_said_in_the_table_too(tuner, entry):
    taken = take(tuner, entry, "push", ("stays", "1", "count"))
    assert saying.short("push", taken.reading.measurements.all()) == "stays down"


def test_every_kind_of_reading_says_what_it_measures():
    from jobs.setups.enums import ReadingKind

    assert set(MEASURES) == set(ReadingKind)
