"""Numbers as they would be read, made up the same way every time."""

from decimal import Decimal
from typing import Any

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster

from .player import DayPlayer, spread

# Cold psi front and rear by make, and what the sheet's standard has; hot rises are common
# practice (front 2 to 4, rear 5 to 8), no source.
COLD_PSI = {"Tresk": (32, 27), "Pellar": (33, 33)}
USUAL_PSI = (31, 29)
# After which outing a bike got stiffer fork springs.
STIFFER_AFTER = {5: 3}


def reading(kind: str, end: str, unit: str, **values: float) -> dict[str, Any]:
    numbers = [{"name": name, "value": str(value), "unit": unit} for name, value in values.items()]
    return {"kind": kind, "end": end, "values": numbers}


def pressures(player: DayPlayer, ref: int, state: str, lap: int = 0) -> list[dict[str, Any]]:
    front, rear = COLD_PSI.get(player.entries[ref].bike.make, USUAL_PSI)
    rise = (3, 6) if state == "track" else (0, 0)
    found = []
    for end, base, more in (("front", front, rise[0]), ("rear", rear, rise[1])):
        value = base + more + spread(f"{ref} {end} psi {lap}", 2) / 2
        one = reading("pressure", end, "psi", pressure=value)
        found.append({**one, "tyre_state": state, "gauge": player.gauge.pk})
    return found


def temperatures(ref: int, lap: int) -> list[dict[str, Any]]:
    """Surface, rider's left, centre, right; this circuit runs clockwise: the right works more."""
    found = []
    for end, base in (("front", 61), ("rear", 66)):
        warm = base + min(lap, 4) * 2 + spread(f"{ref} {end} temp {lap}", 3)
        found.append(
            reading("tyre_temperature", end, "degC", left=warm - 5, centre=warm, right=warm + 3)
        )
    return found


def push(ref: int, *, cold: bool, lap: int = 0) -> list[dict[str, Any]]:
    """Seconds to come back. On cold oil the front stops on its way and creeps."""
    front = 26 if cold else 10
    rear = 19 if cold else 11
    return [
        reading("push", "front", "s", seconds=(front + spread(f"{ref} push f {lap}", 3)) / 10),
        reading("push", "rear", "s", seconds=(rear + spread(f"{ref} push r {lap}", 2)) / 10),
    ]


def ring(end: str, used: float) -> dict[str, Any]:
    """Travel by the ring: of a fork on its leg, at the rear on the shock's shaft."""
    found = reading("travel", end, "mm", used=used)
    return {**found, "place": "shock_shaft"} if end == "rear" else found


def travel(ref: int, lap: int) -> list[dict[str, Any]]:
    front = 88 + lap + spread(f"{ref} ring f", 7)
    if lap > STIFFER_AFTER.get(ref, lap):
        front -= 10
    rear = 41 + lap // 2 + spread(f"{ref} ring r", 4)
    return [ring("front", front), ring("rear", rear)]


def sag(ref: int) -> list[dict[str, Any]]:
    """Front from the stanchion, rear from axle to seat: hanging, after a push, after a lift."""
    found = []
    for end, hanging, sunk in (("front", 128, 33), ("rear", 612, 31)):
        middle = hanging - sunk - spread(f"{ref} sag {end}", 5)
        found.append(
            reading("sag", end, "mm", hanging=hanging, after_push=middle - 3, after_lift=middle + 3)
        )
    return found


def counted(adjuster: Adjuster, ref: int) -> Decimal:
    """Where an adjuster is found in the morning: near the middle, both legs alike.

    Springs are those among the bike's figures.
    """
    if adjuster.function == Function.SPRING and adjuster.bike.front_spring_left_n_per_mm:
        return adjuster.bike.front_spring_left_n_per_mm
    steps = int((adjuster.highest - adjuster.lowest) / adjuster.step)
    middle = steps // 2 + spread(f"{ref} {adjuster.end} {adjuster.function}", max(1, steps // 8))
    return adjuster.lowest + adjuster.step * min(max(middle, 0), steps)


def counts(player: DayPlayer, ref: int) -> list[dict[str, Any]]:
    """As it left its last day, where it had one."""
    return [
        {
            "adjuster": adjuster.pk,
            "position": str(player.stood.get(adjuster.pk) or counted(adjuster, ref)),
        }
        for adjuster in player.adjusters(ref)
        if adjuster.function != "tyre_pressure" and adjuster.usable
    ]
