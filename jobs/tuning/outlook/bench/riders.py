"""Bikes, riders and their rings, simulated by code that shares none with the outlook.

The ring is the furthest of all braking zones of all laps. The spreads are those of a study of
ours: peak braking differs by 0.018 g between outings and by 3.5 % between brakings, a rider gains
pace over a season, and bumps are such that the rings of a fork scatter by 2.5 mm, those of a
shaft by 0.6. Figures of bikes: 600 to 1000 cm3, from memory. N, mm, kg, s.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace

GRAVITY = 9.80665
AIR_PRESSURE = 0.101325  # N/mm2
STOP_MM, STOP_N_PER_MM = 12.0, 60.0
ZONES = 3


@dataclass(frozen=True)
class TrueBike:
    """The truth of one bike: its fork, its shock, and how loads come to them."""

    pair_n_per_mm: float
    preload_mm: float
    area_mm2: float
    air_mm3: float
    exponent: float
    friction_n: float
    travel_mm: float
    fork_n_per_g: float
    fork_static_n: float
    lag: float  # the share of the load that the damping lets through in time
    shock_n_per_mm: float
    shock_preload_mm: float
    ratio: float
    ratio_per_mm: float
    rear_n: float

    def leg_mm(self, axial_n: float) -> float:
        """Where the fork comes to under a load; the stop takes over for the last mm."""

        def carried(x: float) -> float:
            left = self.air_mm3 - self.area_mm2 * x
            squeezed: float = (self.air_mm3 / left) ** self.exponent
            air = 2 * AIR_PRESSURE * self.area_mm2 * (squeezed - 1)
            stop = STOP_N_PER_MM * max(0.0, x - self.travel_mm + STOP_MM)
            return self.pair_n_per_mm * (x + self.preload_mm) + air + stop + self.friction_n

        most = min(self.travel_mm + 4, self.air_mm3 / self.area_mm2 - 0.5)
        return _bisect(carried, axial_n, most)

    def shaft_mm(self, wheel_n: float) -> float:
        """Where the shaft of the shock comes to under a vertical load at the wheel."""

        def carried(z: float) -> float:
            slope = self.ratio + 2 * self.ratio_per_mm * z
            shaft = self.ratio * z + self.ratio_per_mm * z * z
            return self.shock_n_per_mm * (shaft + self.shock_preload_mm) * slope

        z = _bisect(carried, wheel_n, 140.0)
        return self.ratio * z + self.ratio_per_mm * z * z


@dataclass(frozen=True)
class TrueRider:
    """How hard a rider brakes, how much that wanders, and how fast they learn."""

    level_g: float
    erratic: float
    gain_s: float
    g_per_s: float


@dataclass(frozen=True)
class Ridden:
    """One outing as it was read: the fork's ring in whole mm, the shaft's in half mm."""

    leg_mm: float
    shaft_mm: float


def _bisect(carried: Callable[[float], float], load: float, most: float) -> float:
    low, high = 0.0, most
    for _halving in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if carried(middle) < load else (low, middle)
    return (low + high) / 2


def a_bike(rng: random.Random) -> TrueBike:
    mass, base, height = rng.uniform(255, 315), rng.uniform(1385, 1440), rng.uniform(620, 680)
    front, rake, wheel = rng.uniform(0.495, 0.53), math.radians(rng.uniform(23, 25)), 17.0
    weight = mass * GRAVITY
    static = (weight * front - wheel * GRAVITY) * math.cos(rake)
    per_g = weight * height / base * math.cos(rake) + (mass - wheel) * GRAVITY * math.sin(rake)
    travel, area, rate = rng.uniform(118, 128), rng.uniform(1150, 1400), rng.uniform(17.5, 20.5)
    air, sag = area * (travel + rng.uniform(85, 125)), rng.uniform(30, 38)
    pushed = 2 * AIR_PRESSURE * area * (air / (air - area * sag) - 1)
    ratio, bend = rng.uniform(0.42, 0.50), rng.uniform(0.0002, 0.0007)
    shock, rear = rng.uniform(85, 105), weight * (1 - front)
    rear_sag = rng.uniform(27, 36)
    shaft = ratio * rear_sag + bend * rear_sag**2
    return TrueBike(
        pair_n_per_mm=rate,
        preload_mm=min(35.0, max(1.0, (static - pushed) / rate - sag)),
        area_mm2=area,
        air_mm3=air,
        exponent=rng.uniform(1.15, 1.35),
        friction_n=rng.uniform(50, 130),
        travel_mm=travel,
        fork_n_per_g=per_g,
        fork_static_n=static,
        lag=rng.uniform(0.84, 0.92),
        shock_n_per_mm=shock,
        shock_preload_mm=max(1.0, rear / (shock * (ratio + 2 * bend * rear_sag)) - shaft),
        ratio=ratio,
        ratio_per_mm=bend,
        rear_n=rear * rng.uniform(1.30, 1.50),
    )


def a_rider(rng: random.Random) -> TrueRider:
    return TrueRider(
        level_g=rng.uniform(0.66, 0.86),
        erratic=math.exp(rng.gauss(0, 0.3)),
        gain_s=rng.uniform(0.5, 4),
        g_per_s=rng.gauss(0.015, 0.007),
    )


def ride(rng: random.Random, bike: TrueBike, rider: TrueRider, outing: int) -> Ridden:
    """The rings of the outing of this number, counted from 0."""
    gained = rider.gain_s * (1 - math.exp(-outing / 3))
    level = rider.level_g + rider.g_per_s * gained + rng.gauss(0, 0.018 * rider.erratic)
    corner = bike.rear_n * (1 + rng.gauss(0, 0.010 * rider.erratic))
    leg = shaft = 0.0
    bumps = rng.gauss(0, 30)
    for _zone in range(ZONES * rng.randint(5, 7)):
        braking = min(0.95, level * (1 + rng.gauss(0, 0.035)))
        axial = bike.lag * (bike.fork_static_n + bike.fork_n_per_g * braking) + rng.gauss(bumps, 60)
        leg = max(leg, bike.leg_mm(axial))
        shaft = max(shaft, bike.shaft_mm(corner * (1 + rng.gauss(0, 0.015))))
    return Ridden(float(round(leg + rng.gauss(0, 0.7))), round(2 * (shaft + rng.gauss(0, 0.4))) / 2)


@dataclass(frozen=True)
class TrueChange:
    """What a change does to the bike, in the words of its figures; empty words: nothing."""

    name: str
    rear: bool = False
    preload_mm: float = 0.0
    rate_n_per_mm: float = 0.0
    oil_level_mm: float = 0.0

    def of(self, bike: TrueBike) -> TrueBike:
        if self.rear:
            return replace(
                bike,
                shock_n_per_mm=bike.shock_n_per_mm + self.rate_n_per_mm,
                shock_preload_mm=bike.shock_preload_mm + self.preload_mm,
            )
        return replace(
            bike,
            pair_n_per_mm=bike.pair_n_per_mm + self.rate_n_per_mm,
            preload_mm=bike.preload_mm + self.preload_mm,
            air_mm3=bike.air_mm3 - bike.area_mm2 * self.oil_level_mm,
        )


CHANGES = (
    TrueChange("front preload +1 mm", preload_mm=1),
    TrueChange("front preload +3 mm", preload_mm=3),
    TrueChange("front preload +6 mm", preload_mm=6),
    TrueChange("fork springs +0.5 N/mm a leg", rate_n_per_mm=1),
    TrueChange("fork springs +1.0 N/mm a leg", rate_n_per_mm=2),
    TrueChange("oil level 10 mm higher", oil_level_mm=10),
    TrueChange("shock preload +1 mm", rear=True, preload_mm=1),
    TrueChange("shock preload +4 mm", rear=True, preload_mm=4),
    TrueChange("shock spring +10 N/mm", rear=True, rate_n_per_mm=10),
)
