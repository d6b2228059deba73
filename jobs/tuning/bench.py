"""The time of every calculator, as a share of the budget of 5 ms, measured in one run."""

import contextlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from timeit import Timer

from . import clicks, damping, evidence, linkage, load, oil, pace, sag, tyres
from .checks import CHECKS
from .distributions import beta_quantile, t_quantile
from .pace.outing import critical_count, interval_level
from .refusal import Refused
from .terms import TyreState, Verdict

BUDGET_S = 0.005
_LAPS = "\n".join(f"1:{43 + i % 7}.{i % 10}" for i in range(40))
_ROWS = tuple(
    evidence.JudgedExpectation(
        "T1", "rear", ("rebound",), "softer", Verdict.SEEN, bike=i, day=1, order=i
    )
    for i in range(200)
)
_AIR = load.AirSpring(area_mm2=1300, volume_cm3=250)

# Calculators that no row of the check table calls, with the input of a busy day.
OTHER_CALLS: tuple[tuple[str, Callable[[], object]], ...] = (
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
        axial_n=2813, pair_n_per_mm=19, preload_mm=15, usable_mm=130, air=_AIR)),
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
    """The seconds of one call: the best of a few rounds."""

    name: str
    seconds: float

    def line(self, *, reference_s: float) -> str:
        share = self.seconds / BUDGET_S
        return (
            f"{self.name:<58} {self.seconds * 1e3:9.4f} ms {share:8.1%} of the budget "
            f"{self.seconds / reference_s:9.1f} x"
        )


def measure(*, rounds: int = 3, calls: int = 20) -> tuple[Timing, ...]:
    """The time of every check of the table and of ``OTHER_CALLS``, the slowest first."""
    named = [(f"{check.topic}: {check.what}", check.got) for check in CHECKS]
    timings = (
        Timing(name, _best(call, rounds=rounds, calls=calls))
        for name, call in (*named, *OTHER_CALLS)
    )
    return tuple(sorted(timings, key=lambda timing: -timing.seconds))


def reference_time(*, rounds: int = 3, calls: int = 20) -> float:
    """Seconds to add up a thousand numbers, to compare machines."""
    return _best(lambda: sum(range(1000)), rounds=rounds, calls=calls)


def report(timings: Iterable[Timing], *, reference_s: float) -> str:
    """The table as text.

    >>> print(report([Timing("sag: one", 0.001)], reference_s=0.0005).splitlines()[1].split())
    ['sag:', 'one', '1.0000', 'ms', '20.0%', 'of', 'the', 'budget', '2.0', 'x']
    """
    rows = [timing.line(reference_s=reference_s) for timing in timings]
    return "\n".join(["x = against adding up a thousand numbers, same run", *rows])


# The caches are cleared, so that every call takes as long as a first one.
CACHED = (t_quantile, beta_quantile, critical_count, interval_level)


def _best(call: Callable[[], object], *, rounds: int, calls: int) -> float:
    def guarded() -> None:
        for function in CACHED:
            function.cache_clear()
        with contextlib.suppress(Refused):
            call()

    return min(Timer(guarded).repeat(repeat=rounds, number=calls)) / calls
