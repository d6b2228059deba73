"""How long every calculator takes, as a share of the budget of 5 ms, all in one run."""

import contextlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from timeit import Timer

from . import clicks, damping, evidence, linkage, load, oil, pace, sag, tyres
from .checks import CHECKS
from .distributions import beta_quantile, t_quantile
from .pace.outing import critical_count
from .refusal import Refused
from .terms import TyreState, Verdict

BUDGET_S = 0.005
_LAPS = "\n".join(f"1:{43 + i % 7}.{i % 10}" for i in range(40))
_ROWS = tuple(
    evidence.Judged("T1", "rear", ("rebound",), "softer", Verdict.SEEN, bike=i, day=1, order=i)
    for i in range(200)
)
_AIR = load.AirSpring(area_mm2=1300, volume_cm3=250)

# What no row of the check table calls, at the size of a busy day.
MORE: tuple[tuple[str, Callable[[], object]], ...] = (
    ("sag: weight of a mass", lambda: sag.weight_n(mass_kg=98)),
    ("sag: linkage from measured points",
     lambda: linkage.from_points(points=[(z, 0.45 * z + z * z / 2000) for z in range(9, 130, 10)])),
    ("damping: swings", lambda: damping.from_swings(swings=2)),
    ("damping: trace of 81 points", lambda: damping.trace(zeta=0.4, natural_hz=2)),
    ("oil: shift of damping", lambda: oil.damping_shift(viscosity_ratio=4.3)),
    ("tyres: what to set cold", lambda: tyres.set_pressure(
        cold_kpa_gauge=180, cold_c=20, hot_measured_kpa_gauge=240, hot_target_kpa_gauge=230,
        expected_c=8, maker_ranges=(tyres.MakerRange(150, 200, TyreState.COLD),))),
    ("tyres: temperatures", lambda: tyres.surface_temperatures(
        left_c=62, centre_c=58, right_c=70, minutes_since_stop=1)),
    ("load: fork travel with air", lambda: load.fork_travel_mm(
        axial_n=2813, pair_n_per_mm=19, preload_mm=15, air=_AIR)),
    ("load: travel margin", lambda: load.travel_margin(usable_mm=112, used_mm=84)),
    ("pace: forty laps read and judged",
     lambda: pace.outing_pace(laps=pace.parse_laps(_LAPS))),
    ("pace: sixty laps against sixty", lambda: pace.hodges_lehmann(
        before=[100 + i / 10 for i in range(60)], after=[97 + i / 9 for i in range(60)])),
    ("evidence: two hundred judgements", lambda: evidence.tally(_ROWS)),
    ("clicks: from the other end",
     lambda: clicks.out_from_closed(position=8, origin="open", counted_range=20)),
)  # fmt: skip


@dataclass(frozen=True)
class Timing:
    """Seconds of one call, best of a few rounds."""

    name: str
    seconds: float

    def line(self, *, unit_s: float) -> str:
        share = self.seconds / BUDGET_S
        return (
            f"{self.name:<58} {self.seconds * 1e3:9.4f} ms {share:8.1%} of the budget "
            f"{self.seconds / unit_s:9.1f} x"
        )


def measure(*, rounds: int = 3, calls: int = 20) -> tuple[Timing, ...]:
    """Every check of the table as a call of its calculator, and ``MORE``; slowest first."""
    named = [(f"{check.topic}: {check.what}", check.got) for check in CHECKS]
    timings = (
        Timing(name, _best(call, rounds=rounds, calls=calls)) for name, call in (*named, *MORE)
    )
    return tuple(sorted(timings, key=lambda timing: -timing.seconds))


def unit(*, rounds: int = 3, calls: int = 20) -> float:
    """The yardstick of this machine: adding up a thousand numbers, in seconds."""
    return _best(lambda: sum(range(1000)), rounds=rounds, calls=calls)


def report(timings: Iterable[Timing], *, unit_s: float) -> str:
    """The table as text.

    >>> print(report([Timing("sag: one", 0.001)], unit_s=0.0005).splitlines()[1].split())
    ['sag:', 'one', '1.0000', 'ms', '20.0%', 'of', 'the', 'budget', '2.0', 'x']
    """
    rows = [timing.line(unit_s=unit_s) for timing in timings]
    return "\n".join(["x = against adding up a thousand numbers, same run", *rows])


# A first call has nothing remembered: so has every call here.
REMEMBERED = (t_quantile, beta_quantile, critical_count)


def _best(call: Callable[[], object], *, rounds: int, calls: int) -> float:
    def guarded() -> None:
        for function in REMEMBERED:
            function.cache_clear()
        with contextlib.suppress(Refused):
            call()

    return min(Timer(guarded).repeat(repeat=rounds, number=calls)) / calls
