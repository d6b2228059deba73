"""A bike whose figures and readings are all known."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from jobs.garage.enums import End, FittingKind, OilState, TyreState
from jobs.garage.models import Bike, Fitting
from jobs.people.models import Customer
from jobs.setups.models import Measurement, Reading
from jobs.setups.reading_kinds import (
    LAP_TIMES,
    PUSH_TEST,
    SAG,
    TRAVEL,
    TYRE_PRESSURE,
    TYRE_TEMPERATURE,
    WEAR,
)

NOW = datetime(2026, 6, 13, 10, 0, tzinfo=UTC)
DEPTHS = (4.0, 3.7, 3.5, 3.1, 2.9, 2.6)
SLOW = (121.9, 103.4, 102.8, 102.5, 102.9, 108.7, 102.6, 103.1, 102.7, 130.2)
QUICK = (99.6, 99.9, 99.2, 100.4, 99.5, 99.8)


@pytest.fixture
def bench(tuner, business, signed_in):
    """The tuner's browser."""
    return signed_in(tuner)


@pytest.fixture
def bike(tuner):
    owner = Customer.objects.create(name="Aoife Brennan")
    bike = Bike.objects.create(
        owner=owner,
        make="Corsair",
        model="R9",
        front_usable_travel_mm=120,
        front_preload_mm_per_turn=1,
        front_spring_left_n_per_mm=Decimal("9.5"),
        front_spring_right_n_per_mm=Decimal("9.5"),
        rear_spring_n_per_mm=95,
        motion_ratio=Decimal("0.5"),
        linkage_curve=[[0, 0], [20, 9.2], [40, 18.8], [60, 28.8]],
        rake_deg=24,
        offset_mm=30,
        wheelbase_mm=1400,
        front_wheel_radius_mm=300,
        rear_wheel_radius_mm=320,
    )
    Fitting.objects.create(
        bike=bike,
        end=End.REAR,
        kind=FittingKind.TYRE,
        name="Tarn GP",
        new_depth_mm=4,
        price_minor=18000,
        maker_range_kpa={"cold": [150, 190]},
        fitted_at=NOW - timedelta(days=3),
    )
    return bike


@pytest.fixture
def read(bike, tuner):
    """``read(kind, end, (name, value, unit, canonical), ..., tyre_state=...)``"""

    def take(kind, end, *measurements, **more):
        reading = Reading.objects.create(
            bike=bike, kind=kind, end=end, by=tuner, done_at=NOW, **more
        )
        for index, (name, value, unit, canonical) in enumerate(measurements):
            Measurement.objects.create(
                reading=reading,
                name=name,
                index=index,
                value=Decimal(str(value)),
                unit=unit,
                canonical=Decimal(str(canonical)),
            )
        return reading

    return take


@pytest.fixture
def read_bike(bike, read):
    """The bike with one of every reading."""
    read(SAG.name, End.FRONT, ("hanging", 127, "mm", 127), ("after_push", 95, "mm", 95),
         ("after_lift", 101, "mm", 101))  # fmt: skip
    cold, hot = ("pressure", 25, "psi", 172.37), ("pressure", 32.5, "psi", 224.08)
    read(TYRE_PRESSURE.name, End.REAR, cold, tyre_state=TyreState.COLD)
    read(TYRE_PRESSURE.name, End.REAR, hot, tyre_state=TyreState.TRACK, minutes_since_stop=1)
    read(PUSH_TEST.name, End.FRONT, ("seconds", 1.4, "s", 1.4), oil_state=OilState.COLD)
    read(TYRE_TEMPERATURE.name, End.REAR, ("left", 62, "degC", 62),
         ("centre", 58, "degC", 58), ("right", 70, "degC", 70), minutes_since_stop=1)  # fmt: skip
    read(TRAVEL.name, End.FRONT, ("used", 90, "mm", 90))
    for mm in DEPTHS:
        read(WEAR.name, End.REAR, ("centre", mm, "mm", mm))
    for laps in (SLOW, QUICK):
        read(LAP_TIMES.name, "", *(("lap", s, "s", s) for s in laps))
    return bike
