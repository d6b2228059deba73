"""Seasons of simulated riders, forecast by the outlook: how often its bands and verdicts hold."""

import random
import statistics
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ...linkage import quadratic
from ...refusal import AskAgain
from ...terms import TravelPlace, Verdict
from .. import (
    PRIORS,
    EndChange,
    EndSpring,
    Landed,
    Outlook,
    RingState,
    RingsThatCount,
    Visible,
    fork_spring,
    judged_by_the_ring,
    landed,
    outlook_of,
    rings_begin,
    rings_next,
    rings_seen,
    shock_spring,
)
from .riders import CHANGES, Ridden, TrueBike, TrueChange, TrueRider, a_bike, a_rider, ride

BEFORE = 8
EARLIER = (2, 3, 8)
SHAFT_USABLE_MM = 60.0
BIKES, SEED = 300, 1
ONE_SIDED_95 = 1.645


@dataclass
class Count:
    """How many of how many."""

    hits: int = 0
    of: int = 0

    def add(self, hit: bool) -> None:
        self.hits += hit
        self.of += 1

    @property
    def share(self) -> float:
        return self.hits / self.of if self.of else 0.0

    def words(self) -> str:
        error = (self.share * (1 - self.share) / self.of) ** 0.5 if self.of else 0.0
        return f"{self.share:6.1%} (se {error:.1%}) of {self.of}"


@dataclass
class SeasonCounts:
    """What a run of seasons came to."""

    front: Count = field(default_factory=Count)
    shaft: Count = field(default_factory=Count)
    after: dict[int, Count] = field(default_factory=lambda: defaultdict(Count))
    verdicts: dict[Visible, Count] = field(default_factory=lambda: defaultdict(Count))
    changes: dict[str, dict[Visible, int]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(int))
    )
    judged: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    judged_undone: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    several: Count = field(default_factory=Count)
    doubted: Count = field(default_factory=Count)
    in_the_stop: int = 0
    spreads: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))


def run(*, bikes: int = BIKES, seed: int = SEED) -> SeasonCounts:
    """Every bike rides a season of eight outings, then one after each change."""
    figures = SeasonCounts()
    for number in range(bikes):
        _season(random.Random(f"{seed}-{number}"), figures)  # noqa: S311 (made-up riders, no secret)
    return figures


def _season(rng: random.Random, figures: SeasonCounts) -> None:
    bike, rider = a_bike(rng), a_rider(rng)
    ridden = [ride(rng, bike, rider, outing) for outing in range(BEFORE)]
    for place, count in (
        (TravelPlace.FORK_LEG, figures.front),
        (TravelPlace.SHOCK_SHAFT, figures.shaft),
    ):
        rings = [_ring(one, place) for one in ridden]
        figures.spreads[place].append(statistics.stdev(rings))
        for state, used in _one_by_one(rings, place):
            count.add(rings_next(state=state).holds(used))
    same = ride(rng, bike, rider, BEFORE)
    for change in CHANGES:
        changed = ride(rng, change.of(bike), rider, BEFORE)
        for earlier in EARLIER:
            told = _after(figures, rng, bike, change, ridden[-earlier:], (changed, same))
            if told and earlier == EARLIER[1]:
                _in_several(figures, rng, (bike, rider), change, told)


def _ring(ridden: Ridden, place: TravelPlace) -> float:
    return ridden.leg_mm if place == TravelPlace.FORK_LEG else ridden.shaft_mm


def _one_by_one(rings: Sequence[float], place: TravelPlace) -> Iterator[tuple[RingState, float]]:
    """What is known before each ring but the first, with that ring."""
    state = rings_seen(state=rings_begin(prior=PRIORS[place]), used_mm=rings[0])
    for used in rings[1:]:
        yield state, used
        state = rings_seen(state=state, used_mm=used)


def _after(
    figures: SeasonCounts,
    rng: random.Random,
    bike: TrueBike,
    change: TrueChange,
    ridden: Sequence[Ridden],
    then: tuple[Ridden, Ridden],
) -> Outlook | None:
    """The first outing after a change, and the same one had the change been forgotten."""
    place = TravelPlace.SHOCK_SHAFT if change.rear else TravelPlace.FORK_LEG
    state = rings_begin(prior=PRIORS[place])
    for one in ridden:
        state = rings_seen(state=state, used_mm=_ring(one, place))
    try:
        told = outlook_of(
            counted=RingsThatCount(state, ()),
            spring=_as_known(rng, bike, change),
            change=EndChange(change.preload_mm, change.rate_n_per_mm, change.oil_level_mm),
            usable_mm=SHAFT_USABLE_MM if change.rear else bike.travel_mm,
        )
    except AskAgain:
        figures.in_the_stop += 1
        return None
    used, undone = (_ring(one, place) for one in then)
    figures.after[len(ridden)].add(told.band.holds(used))
    if len(ridden) == EARLIER[1]:
        _verdicts(figures, change, told, used, undone)
    return told


def _in_several(
    figures: SeasonCounts,
    rng: random.Random,
    ridden_by: tuple[TrueBike, TrueRider],
    change: TrueChange,
    told: Outlook,
) -> None:
    """As many outings on each side as it said, and whether their means differ as foretold."""
    if told.visibility.visible != Visible.IN_SEVERAL:
        return
    bike, rider = ridden_by
    place = TravelPlace.SHOCK_SHAFT if change.rear else TravelPlace.FORK_LEG
    count = told.visibility.outings
    means = []
    for one in (bike, change.of(bike)):
        rings = [_ring(ride(rng, one, rider, BEFORE), place) for _outing in range(count)]
        means.append(statistics.fmean(rings))
    step = (means[1] - means[0]) * (1 if told.shift.mm > 0 else -1)
    least = ONE_SIDED_95 * told.spread_mm * (2 / count) ** 0.5
    figures.several.add(step > least)


def _verdicts(
    figures: SeasonCounts, change: TrueChange, told: Outlook, used: float, undone: float
) -> None:
    seen = told.visibility.visible
    left = not told.unchanged.holds(used) and (used - told.level_mm) * told.shift.mm > 0
    figures.changes[change.name][seen] += 1
    if seen != Visible.IN_SEVERAL:
        figures.verdicts[seen].add(left == (seen == Visible.IN_ONE))
    for ring, judged in ((used, figures.judged), (undone, figures.judged_undone)):
        landing = landed(band=told.band, used_mm=ring, unchanged=told.unchanged)
        verdict = judged_by_the_ring(
            visibility=told.visibility, unchanged=told.unchanged, landing=landing, used_mm=ring
        )
        if seen == Visible.IN_ONE:
            judged[verdict or "cannot be told"] += 1
    landing = landed(band=told.band, used_mm=used, unchanged=told.unchanged)
    figures.doubted.add(landing.landed == Landed.DOUBTFUL)


def _as_known(rng: random.Random, bike: TrueBike, change: TrueChange) -> EndSpring:
    """What a tuner knows: rates to 2 %, preload to 1.5 mm, usual air, linkage to 2 %."""
    if change.rear:
        return shock_spring(
            shock_n_per_mm=bike.shock_n_per_mm * (1 + rng.gauss(0, 0.02)),
            preload_mm=max(0.5, bike.shock_preload_mm + rng.gauss(0, 0.8)),
            linkage=quadratic(
                at_full_extension=bike.ratio * (1 + rng.gauss(0, 0.02)), per_mm=bike.ratio_per_mm
            ),
        )
    return fork_spring(
        pair_n_per_mm=bike.pair_n_per_mm * (1 + rng.gauss(0, 0.02)),
        preload_mm=max(0.0, bike.preload_mm + rng.gauss(0, 1.5)),
    )


def report(figures: SeasonCounts) -> str:
    """The figures as text."""
    lines = ["simulated riders; 90 % bands should hold 87 to 95 %"]
    for place, values in figures.spreads.items():
        ten, half, ninety = (sorted(values)[int(len(values) * q)] for q in (0.1, 0.5, 0.9))
        lines.append(f"scatter of rings, {place}: {half:.2f} mm ({ten:.2f} to {ninety:.2f})")
    lines += [
        f"next ring, fork leg                  {figures.front.words()}",
        f"next ring, shock's shaft             {figures.shaft.words()}",
    ]
    for earlier, count in sorted(figures.after.items()):
        lines.append(f"first ring after a change, {earlier} earlier  {count.words()}")
    lines.append(f"at the end of its travel, refused    {figures.in_the_stop}")
    for seen, count in sorted(figures.verdicts.items()):
        lines.append(f"verdict right in one outing: {seen:<11} {count.words()}")
    lines.append(f"in several: seen in as many as said  {figures.several.words()}")
    lines.append(f"landed far outside, doubted          {figures.doubted.words()}")
    for name, seen_by in figures.changes.items():
        told = ", ".join(f"{seen} {count}" for seen, count in sorted(seen_by.items()))
        lines.append(f"  {name:<30} {told}")
    lines.append(f"seen by one outing, judged when done:    {_judged(figures.judged)}")
    lines.append(f"the same, had the change been forgotten: {_judged(figures.judged_undone)}")
    return "\n".join(lines)


def _judged(counts: dict[str, int]) -> str:
    names = (Verdict.SEEN, Verdict.NOT_SEEN, "cannot be told")
    return ", ".join(f"{name} {counts[name]}" for name in names)
