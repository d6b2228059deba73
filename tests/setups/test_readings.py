"""Readings: kept as entered, canonical beside it; warned of where not plausible, refused only
where not possible."""

import json
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from jobs.garage.models import Gauge
from jobs.setups import sentences, services
from jobs.setups.models import Measurement, Reading
from jobs.setups.reading_kinds import READING_KINDS
from jobs.setups.services.readings import Value
from jobs.tuning.cooling import FRESH_MINUTES, HOT_MINUTES

from ..days import day_build, local
from ..shape.source import ROOT
from .writing import arrive, origin

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def take(by, entry, kind, *values, at=None, **more):
    more.setdefault("end", "" if kind == "laps" else "rear")
    return services.reading_take(
        origin=origin(by, entry, at), bike=entry.bike, kind=kind,
        values=[Value(n, Decimal(v), u, *rest) for n, v, u, *rest in values], **more,
    )  # fmt: skip


def test_a_pressure_is_kept_as_entered_and_in_kilopascal(tuner, entry):
    """32.5 psi = 224.08 kPa: NIST SP 811 (2008), appendix B, 1 psi = 6.894757 kPa."""
    taken = take(tuner, entry, "pressure", ("pressure", "32.5", "psi"), tyre_state="cold")
    number = taken.reading.measurements.get()
    assert (number.value, number.unit) == (Decimal("32.5"), "psi")
    assert number.canonical == pytest.approx(Decimal("224.0796"), abs=Decimal("0.0001"))
    assert sentences.reading(taken.reading) == "Rear tyre pressure: 32.5 psi."


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


def test_an_unusual_number_is_kept_with_a_warning(tuner, entry):
    taken = take(tuner, entry, "pressure", ("pressure", "2.3", "kPa"))
    assert taken.warnings == ("pressure 2.3 kPa is unusual (100 to 350 kPa): look again.",)
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
    assert sentences.reading(taken.reading) == "Lap times: 2 laps, best 1:42.5."


def test_a_cold_push_test_says_it_is_cold(tuner, entry):
    taken = take(tuner, entry, "push", ("seconds", "1", "s"), ("swings", "2", "count"))
    assert taken.reading.oil_state == "cold"
    assert "oil cold" in sentences.reading_aside(taken.reading)
    assert sentences.cold_push(taken.reading) == (
        "Oil cold, cold 3.9–4.5 times as thick as hot: on track it comes up quicker; "
        "not for setting rebound."
    )


def test_only_a_push_that_was_not_hot_is_marked(tuner, entry):
    hot = take(tuner, entry, "push", ("seconds", "1", "s"), oil="hot", oil_reason="ridden here")
    sag = (("hanging", "640", "mm"), ("after_push", "606", "mm"), ("after_lift", "610", "mm"))
    assert sentences.cold_push(hot.reading) == ""
    assert sentences.cold_push(take(tuner, entry, "sag", *sag).reading) == ""


def test_an_oil_state_that_overrules_the_stop_says_why_and_the_reason_stays(tuner, entry):
    with pytest.raises(ValidationError, match="Say why it is hot"):
        take(tuner, entry, "push", ("seconds", "1", "s"), oil="hot")
    taken = take(tuner, entry, "push", ("seconds", "1", "s"), oil="hot", oil_reason="ridden here")
    assert "oil hot (ridden here)" in sentences.reading_aside(taken.reading)
    same = take(tuner, entry, "push", ("seconds", "1", "s"), oil="cold", oil_reason="cold van")
    assert (same.reading.oil_state, same.reading.oil_reason) == ("cold", "")


def test_an_end_that_stays_down_is_said_in_the_table_too(tuner, entry):
    taken = take(tuner, entry, "push", ("stays", "1", "count"))
    assert sentences.short("push", taken.reading.measurements.all()) == "stays down"


@pytest.mark.parametrize(
    ("kind", "value", "message"),
    [
        ("pressure", ("pressure", "-2", "psi"), r"pressure -2 psi is not possible \(0 to 1000 kPa"),
        ("tyre_temperature", ("left", "400", "degC"), "left 400 degC is not possible"),
        ("wear", ("centre", "-0.5", "mm"), r"centre -0.5 mm is not possible \(0 to 30 mm\)"),
        ("laps", ("lap", "0", "s"), r"lap 0 s is not possible \(15 to 1200 s\)"),
    ],
)
def test_what_is_not_possible_is_refused_by_name(tuner, entry, kind, value, message):
    with pytest.raises(ValidationError, match=message):
        take(tuner, entry, kind, value)
    assert not Measurement.objects.exists()


def test_a_flat_tyre_is_possible_on_a_gauge_that_reads_high(tuner, entry):
    gauge = Gauge.objects.create(name="van", unit="psi", offset=Decimal("0.5"))
    taken = take(tuner, entry, "pressure", ("pressure", "0", "psi"), gauge=gauge)
    assert taken.warnings == ("pressure 0 psi is unusual (100 to 350 kPa): look again.",)


@pytest.mark.parametrize(
    ("value", "on", "words"),
    [
        (Value("brake", on=True), True, "front brake held"),
        (Value("brake", on=False), False, "brake off"),
        (Value("brake", Decimal(1), "count"), True, "front brake held"),  # as older pages send it
        (Value("brake", Decimal(0), "count"), False, "brake off"),
    ],
)
def test_a_switch_is_kept_as_a_boolean_and_said_in_its_own_words(tuner, entry, value, on, words):
    taken = services.reading_take(
        origin=origin(tuner, entry), bike=entry.bike, kind="push", end="front", values=[value]
    )
    row = taken.reading.measurements.get()
    assert (row.on, row.value, row.unit, row.canonical) == (on, None, "", None)
    assert sentences.reading(taken.reading) == f"Front push test: {words}."
    assert taken.reading.switched("brake") is on
    assert taken.reading.switched("stays") is None


@pytest.mark.parametrize("value", [("reset", "2", "count"), ("reset", "1", "mm")])
def test_a_switch_that_is_neither_on_nor_off_is_refused_by_name(tuner, entry, value):
    with pytest.raises(ValidationError, match=r"“ring put back” is on \(1\) or off \(0\); given"):
        take(tuner, entry, "travel", ("used", "90", "mm"), value)


def test_a_number_without_its_value_is_refused_by_name(tuner, entry):
    with pytest.raises(ValidationError, match="pressure needs a number"):
        services.reading_take(
            origin=origin(tuner, entry), bike=entry.bike, kind="pressure", end="rear",
            values=[Value("pressure", on=True)],
        )  # fmt: skip


def test_a_row_is_either_a_number_or_a_switch(tuner, entry):
    taken = take(tuner, entry, "travel", ("used", "90", "mm"))
    with pytest.raises(IntegrityError), transaction.atomic():
        Measurement.objects.create(reading=taken.reading, name="reset", on=True, value=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        Measurement.objects.create(reading=taken.reading, name="reset")


def test_a_table_says_numbers_of_one_unit_together_and_switches_that_matter(tuner, entry):
    values = ("seconds", "0.8", "s"), ("swings", "2", "count"), ("brake", "1", "count")
    push = take(tuner, entry, "push", *values, ("stays", "1", "count")).reading
    assert sentences.short("push", push.measurements.all()) == "0.8 s, 2 passes, stays down"
    ring = take(tuner, entry, "travel", ("used", "90", "mm"), ("reset", "1", "count")).reading
    assert sentences.short("travel", ring.measurements.all()) == "90\N{NO-BREAK SPACE}mm"
    wear = take(tuner, entry, "wear", ("left", "3", "mm"), ("right", "2.5", "mm")).reading
    assert sentences.short("wear", wear.measurements.all()) == "3 · 2.5\N{NO-BREAK SPACE}mm"


def test_a_kind_that_left_the_table_is_still_told_by_its_own_names(tuner, entry):
    reading = Reading.objects.create(bike=entry.bike, kind="gone", by=tuner, done_at=local(9))
    Measurement.objects.create(reading=reading, name="depth", value=2, unit="mm", canonical=2)
    Measurement.objects.create(reading=reading, name="dry", on=True)
    assert sentences.reading(reading) == "Gone: depth 2 mm, dry: yes."
    assert sentences.short("gone", reading.measurements.all()) == "2\N{NO-BREAK SPACE}mm"


def test_every_kind_fits_its_columns_and_names_each_measure_once():
    kinds, readings, rows = READING_KINDS.values(), Reading._meta, Measurement._meta
    for kind in kinds:
        names = [one.name for one in kind.measures]
        assert len(names) == len(set(names)), kind.name
        assert len(kind.name) <= readings.get_field("kind").max_length
        assert all(len(name) <= rows.get_field("name").max_length for name in names)
        assert all(
            one.possible.low <= one.plausible.low <= one.plausible.high <= one.possible.high
            for one in kind.numbers
        ), kind.name


def test_the_checklist_asks_for_the_hot_push_as_long_as_the_oil_counts_as_hot():
    lists = json.loads((ROOT / "fixtures" / "checklists.json").read_text())
    closes = {item["code"]: item["closes"] for one in lists for item in one["items"]}
    assert closes["hot-push"] == closes["recheck"] == ["stop", HOT_MINUTES]
    assert closes["hot-reads"] == ["stop", FRESH_MINUTES]
