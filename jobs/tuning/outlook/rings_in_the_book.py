"""Which rings of the book count for the next one, and why the others do not.

A slipped ring and rain show in the figure. Another rider or tyre, a ring that was not put back
and a short outing do not: they must be known from the book, and are left out by name.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean

from ..argument_checks import checked
from ..refusal import Refused
from ..terms import TravelPlace
from ..travel import PLACE_WORDS
from ..words import _
from .rings import (
    RingPrior,
    RingState,
    level_shifted,
    rings_begin,
    rings_next,
    rings_restart,
    rings_seen,
)
from .shifts import Shift
from .verdicts import FEWEST_LAPS, equal_to_the_last, too_few_laps


@checked
@dataclass(frozen=True)
class Circumstances:
    """What a level of rings belongs to: rider, venue, surface and tyre, each by its name."""

    rider: str
    venue: str
    surface: str = ""
    tyre: str = ""


@checked
@dataclass(frozen=True)
class RingRead:
    """One ring of the book, in the order of the outings.

    ``laps`` and ``put_back`` are None where nobody said. ``shifts`` are of the changes made at
    this end since the ring before; ``untold`` names changes there whose effect on a ring cannot
    be told at all.
    """

    used_mm: float
    place: str
    seen_in: Circumstances
    laps: int | None = None
    put_back: bool | None = None
    shifts: tuple[Shift, ...] = ()
    untold: tuple[str, ...] = ()


@checked
@dataclass(frozen=True)
class LeftOut:
    """A ring that does not count, by its place in the list, and why."""

    number: int
    why: str


@checked
@dataclass(frozen=True)
class RingsThatCount:
    """What is known of the rings in these circumstances; ``last_mm`` is the last one read."""

    state: RingState
    left_out: tuple[LeftOut, ...]
    last_mm: float | None = None


@checked
def rings_that_count(
    *, rings: Sequence[RingRead], now: Circumstances, place: str, prior: RingPrior
) -> RingsThatCount:
    """The level and spread for ``now``, of the rings read at ``place``.

    Every rider has a spread of their own; venue, surface and tyre each have a level, and the
    spread is kept from one to another. A change that cannot be told ends every level.

    >>> at = Circumstances("R", "V", "dry")
    >>> rings = [RingRead(96, "fork_leg", at), RingRead(99, "fork_leg", at, laps=2)]
    >>> from jobs.tuning.outlook.rings import PRIORS
    >>> found = rings_that_count(rings=rings, now=at, place="fork_leg", prior=PRIORS["fork_leg"])
    >>> found.state.rings, str(found.left_out[0].why)
    (1, 'Laps ridden: 2. A ring needs at least 3.')
    """
    walk = _Walk(now.rider, TravelPlace(place), prior)
    for ring in rings:
        walk.go(ring)
    last = walk.last.used_mm if walk.last else None
    return RingsThatCount(walk.levels.at(now), tuple(walk.left_out), last)


@checked
@dataclass(frozen=True)
class Scatter:
    """How far one rider's rings at one end scatter, and how many bands held the next one.

    ``sd_mm``: within each venue, surface and tyre, without the shifts of changes; None where no
    two rings can be compared. ``forecasts`` of which ``inside`` came in the 90 % band.
    """

    rings: int
    sd_mm: float | None
    forecasts: int
    inside: int


@checked
def scatter_of(*, rings: Sequence[RingRead], rider: str, place: str, prior: RingPrior) -> Scatter:
    """The scatter of one rider's rings at ``place``, and how well ``prior`` foretold them.

    >>> at = Circumstances("R", "V", "dry")
    >>> rings = [RingRead(used, "fork_leg", at) for used in (96, 99, 93)]
    >>> from jobs.tuning.outlook.rings import PRIORS
    >>> scatter_of(rings=rings, rider="R", place="fork_leg", prior=PRIORS["fork_leg"])
    Scatter(rings=3, sd_mm=3.0, forecasts=2, inside=2)
    """
    walk = _Walk(rider, TravelPlace(place), prior)
    groups: dict[tuple[int, Circumstances], list[float]] = {}
    moved, epoch, forecasts, inside = 0.0, 0, 0, 0
    for ring in rings:
        moved += sum(shift.mm for shift in ring.shifts)
        epoch += bool(ring.untold)
        before = walk.go(ring)
        if before is None:
            continue
        groups.setdefault((epoch, ring.seen_in), []).append(ring.used_mm - moved)
        if before.level_mm is not None:
            forecasts += 1
            inside += rings_next(state=before).holds(ring.used_mm)
    apart = [value - fmean(group) for group in groups.values() for value in group]
    degrees = len(apart) - len(groups)
    sd = math.sqrt(sum(one * one for one in apart) / degrees) if degrees > 0 else None
    return Scatter(len(apart), sd, forecasts, inside)


@checked
def only_change_at_the_end(*, changed: Sequence[str]) -> str:
    """The one change made at an end. Refused where there is another one for the same outing.

    >>> only_change_at_the_end(changed=["preload"])
    'preload'
    """
    names = tuple(changed)
    if len(names) != 1:
        raise Refused(
            _(
                "Several changes at this end for one outing ({names}): what each does to the ring "
                "cannot be told apart.",
                names=", ".join(names) or "0",
            )
        )
    return names[0]


@checked
def read_elsewhere(place: str) -> str:
    """Why a ring that was not read where the ring of its end sits does not count.

    >>> print(read_elsewhere("wheel"))
    Read at the wheel.
    """
    if not place:
        return _("Nobody said where this ring was read.")
    return _("Read {place}.", place=PLACE_WORDS[TravelPlace(place)])


class _Levels:
    """One level per venue, surface and tyre, with one spread of all."""

    def __init__(self, begun: RingState) -> None:
        self.spread = begun
        self.by_place: dict[Circumstances, RingState] = {}

    def changed(self, ring: RingRead) -> None:
        if ring.untold:
            self.by_place.clear()
        for shift in ring.shifts:
            self.spread = level_shifted(state=self.spread, shift=shift)
            for key, state in self.by_place.items():
                self.by_place[key] = level_shifted(state=state, shift=shift)

    def seen(self, ring: RingRead) -> None:
        self.spread = rings_seen(state=self.at(ring.seen_in), used_mm=ring.used_mm)
        self.by_place[ring.seen_in] = self.spread

    def at(self, circumstances: Circumstances) -> RingState:
        """The level there with the spread as it is known by now."""
        level = self.by_place.get(circumstances)
        if level is None:
            return rings_restart(state=self.spread)
        return replace(level, degrees=self.spread.degrees, variance_mm2=self.spread.variance_mm2)


class _Walk:
    """One ring after another as they stand in the book, those that count and the others."""

    def __init__(self, rider: str, place: TravelPlace, prior: RingPrior) -> None:
        self.rider, self.place = rider, place
        self.levels = _Levels(rings_begin(prior=prior))
        self.left_out: list[LeftOut] = []
        self.last: RingRead | None = None
        self.read = 0

    def go(self, ring: RingRead) -> RingState | None:
        """What was known before this ring; None where it does not count."""
        self.levels.changed(ring)
        why = _why_not(ring, self.last, self.rider, self.place)
        self.read += 1
        if ring.place == self.place:
            self.last = ring
        if why:
            self.left_out.append(LeftOut(self.read - 1, why))
            return None
        before = self.levels.at(ring.seen_in)
        self.levels.seen(ring)
        return before


def _why_not(ring: RingRead, last: RingRead | None, rider: str, place: TravelPlace) -> str:
    """Why a ring does not count; empty where it does."""
    if ring.place != place:
        return read_elsewhere(ring.place)
    if ring.seen_in.rider != rider:
        return _("Another rider.")
    if ring.put_back is False:
        return _("The ring was not put back.")
    if ring.laps is not None and ring.laps < FEWEST_LAPS:
        return too_few_laps(ring.laps)
    if last is not None and last.used_mm == ring.used_mm and ring.put_back is None:
        return equal_to_the_last(ring.used_mm)
    return ""
