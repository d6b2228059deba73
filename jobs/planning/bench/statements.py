"""What is said of a simulated day while it runs, against what comes of it.

Days are put right by days of the other half (``chances``): the random days with an even number
by those with an odd one, and the other way round.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from statistics import fmean

from ..chances import Experience, StatedCost, experience
from .kept_days import KeptDay
from .survival_days import verdict

COST_BAR, BAND_BAR, BRIER_BAR, ENOUGH = 0.10, 0.05, 0.92, 50
TENTHS = 10


def run(size: int, variation: float, days: Sequence[KeptDay]) -> Iterator[str]:
    """The lines to print: the stated cost, and the chances of follow-ups."""
    judged = []
    for half in (0, 1):
        known = _taught(day for day in days if day.which.number % 2 != half)
        judged += [(known, day) for day in days if day.which.number % 2 == half]
    yield _cost_line(size, variation, judged)
    yield from _chance_lines(size, variation, judged)


def _taught(days: Iterable[KeptDay]) -> Experience:
    known = list(days)
    return experience([said for day in known for said in day.said], [day.cost for day in known])


def _cost_line(size: int, variation: float, judged: Sequence[tuple[Experience, KeptDay]]) -> str:
    stated = [known.cost(day.cost.planned, day.made) for known, day in judged]
    came = [day.cost.came for _known, day in judged]
    said, was = fmean(each.mean for each in stated), fmean(came)
    inside = sum(_holds(each, cost) for each, cost in zip(stated, came, strict=True))
    return (
        f"{size} bikes, variation {variation}, {len(came)} days: stated cost {said:.0f}, "
        f"simulated {was:.0f} ({said / was:.3f}); the plans alone say "
        f"{fmean(day.cost.planned for _k, day in judged):.0f}, the replays "
        f"{fmean(day.cost.replayed for _k, day in judged):.0f}; "
        f"{inside} of {len(came)} within the range stated"
        + verdict(variation, abs(said / was - 1) <= COST_BAR, "within 10 %")
    )


def _holds(stated: StatedCost, cost: float) -> bool:
    return stated.low <= cost <= stated.high


def _chance_lines(
    size: int, variation: float, judged: Sequence[tuple[Experience, KeptDay]]
) -> Iterator[str]:
    said = [one for _known, day in judged for one in day.said]
    pairs = [(known.chance(one), done) for known, day in judged for one, done in day.said]
    ours = fmean((chance - done) ** 2 for chance, done in pairs)
    raw = fmean((one.raw - done) ** 2 for one, done in said)
    certain = fmean((one.planned - done) ** 2 for one, done in said)
    yield (
        f"{size} bikes, variation {variation}: {len(pairs)} chances of follow-ups, Brier "
        f"{ours:.4f}, of the replays alone {raw:.4f}, of a plan taken as certain {certain:.4f}: "
        f"{ours / certain:.3f}" + verdict(variation, ours <= BRIER_BAR * certain, f"<= {BRIER_BAR}")
    )
    bands: dict[int, list[tuple[float, bool]]] = {}
    for chance, done in pairs:
        bands.setdefault(min(int(chance * TENTHS), TENTHS - 1), []).append((chance, done))
    lines = [_SaidAndWas(band) for _place, band in sorted(bands.items())]
    yield (
        "  said and was, with how many: "
        + ", ".join(f"{b.said:.2f} {b.was:.2f} ({b.number})" for b in lines)
        + verdict(
            variation, all(b.is_right for b in lines), "each of 50 or more within 0.05 or 2 SE"
        )
    )


@dataclass
class _SaidAndWas:
    """Statements with like chances."""

    pairs: list[tuple[float, bool]] = field(repr=False)

    @property
    def number(self) -> int:
        return len(self.pairs)

    @property
    def said(self) -> float:
        return fmean(chance for chance, _done in self.pairs)

    @property
    def was(self) -> float:
        return fmean(done for _chance, done in self.pairs)

    @property
    def is_right(self) -> bool:
        error = math.sqrt(self.said * (1 - self.said) / self.number)
        return self.number < ENOUGH or abs(self.said - self.was) <= max(BAND_BAR, 2 * error)
