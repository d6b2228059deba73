"""What the next ring should show after a change of an adjuster.

Nothing is said where the book does not hold it: each refusal says by name what is missing, or
what makes the ring mean nothing.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache

from django.utils.translation import gettext as _

from jobs.garage.enums import End, Function
from jobs.garage.models import Adjuster, Bike
from jobs.people.selectors import business_get, own_bands
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Reading
from jobs.setups.reading_kinds import SAG
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.tuning import Refused
from jobs.tuning.knowledge import AdjusterMove
from jobs.tuning.outlook import (
    EndChange,
    EndSpring,
    Outlook,
    RingsThatCount,
    Visibility,
    damping_shift,
    expected_words,
    only_change_at_the_end,
    outlook_of,
    preload_for_the_same_sag,
    ring_shift,
    rings_that_count,
    sag_shift_mm,
)

from .observations import sags
from .ring_shifts import (
    DAMPING,
    GEOMETRY,
    Move,
    end_change_of,
    end_spring_of,
    usable_at_the_ring,
)
from .rings import RING_PLACE, RingsOfBike, ring_prior, rings_of_bike

TOLD = (Function.SPRING, Function.PRELOAD, Function.OIL_LEVEL)


@dataclass(frozen=True)
class SagKept:
    """A spring swap with the rider's sag kept: the preload it takes, and where the ring goes."""

    preload_mm: float
    ring_moves_mm: float


@dataclass(frozen=True)
class RingOutlook:
    """What is said of one change: ``told`` with its sentence, or ``refused`` by name.

    ``sag_mm``: the rider's sag now, along the leg or at the wheel; ``sag_moves_mm``: what the
    change does to it. ``kept``: beside a spring swap, the same swap with the sag kept.
    """

    end: End
    usable_mm: float = 0.0
    told: Outlook | None = None
    sentence: str = ""
    refused: str = ""
    sag_mm: float | None = None
    sag_moves_mm: float | None = None
    kept: SagKept | None = None


def ring_outlook_of(entry: Entry, moves: Sequence[Move]) -> RingOutlook | None:
    """The outlook of moves about to be made, all of one end; None where no ring is asked.

    Twelve queries, none where the adjuster moves no ring.
    """
    adjusters = [adjuster for adjuster, _start, _end in moves]
    if not any(adjuster.function in TOLD for adjuster in adjusters):
        return untold(adjusters)
    end = End(adjusters[0].end)
    try:
        book, own = rings_of_bike(entry.bike), own_bands(business_get())
        return _outlook_now(entry, moves, book, own, sag_mm_of(entry.bike, end))
    except Refused as refused:
        return RingOutlook(end, refused=refused.words)


def shows_in_the_ring(
    entry: Entry, adjusters: Mapping[Hashable, Adjuster]
) -> Callable[[Sequence[AdjusterMove]], Visibility | None]:
    """Asked of moves about to be made: whether the ring will show them; None: not told.

    The book is read at the first question: at most nine queries, however many are asked.
    """

    @cache
    def read() -> tuple[RingsOfBike, Mapping[str, tuple[float, float]]]:
        return rings_of_bike(entry.bike), own_bands(business_get())

    def shows(asked: Sequence[AdjusterMove]) -> Visibility | None:
        moves = [(adjusters[move.key], move.from_, move.to) for move in asked]
        for adjuster, _start, _end in moves:
            adjuster.bike = entry.bike  # read already
        if not any(adjuster.function in TOLD for adjuster, _start, _end in moves):
            return None
        try:
            told = _outlook_now(entry, moves, *read(), None).told
        except Refused:
            return None
        return told.visibility if told else None

    return shows


def _outlook_now(
    entry: Entry,
    moves: Sequence[Move],
    book: RingsOfBike,
    own: Mapping[str, tuple[float, float]],
    sag_mm: float | None,
) -> RingOutlook:
    adjusters = [adjuster for adjuster, _start, _end in moves]
    end = End(adjusters[0].end)
    only_change_at_the_end(changed=[*book.changed_since(end), *_this_one(adjusters)])
    counted = rings_that_count(
        rings=[row.ring for row in book.rows(end)],
        now=book.circumstances(entry, end, clock.now(entry.trackday)),
        place=RING_PLACE[end],
        prior=ring_prior(end, own),
    )
    return outlook_told(entry.bike, end, counted, moves, name="", sag_mm=sag_mm)


def moved_the_ring_at(bike: Bike, end: str) -> datetime | None:
    """When springs, preload or oil level of an end were last changed; None: never."""
    made = Adjustment.objects.filter(
        adjuster__bike=bike, adjuster__end=end, adjuster__function__in=TOLD,
        kind=RowKind.CHANGE, state=RowState.PLACED,
    )  # fmt: skip
    return made.order_by("-accepted_at").values_list("accepted_at", flat=True).first()


def damping_with_it(adjusters: Sequence[Adjuster]) -> list[str]:
    """The damping that was moved in the same change, by name."""
    moved = {one.get_function_display() for one in adjusters if one.function in DAMPING}
    return sorted(str(name) for name in moved)


def outlook_told(
    bike: Bike,
    end: End,
    counted: RingsThatCount,
    moves: Sequence[Move],
    *,
    name: str,
    sag_mm: float | None,
) -> RingOutlook:
    """The outlook of a change from the rings that count. Refused by name where it has none.

    ``sag_mm``: the rider's sag, None where it is not known. No query.
    """
    usable, change = usable_at_the_ring(bike, end), end_change_of(moves)
    if change is None:
        raise Refused(_("One turn of preload in mm is not known: enter it under Figures."))
    if usable is None:
        raise Refused(
            _("Enter the usable travel of the fork under Figures.")
            if end == End.FRONT
            else _("Enter the usable stroke of the shock's shaft under Figures.")
        )
    spring = end_spring_of(bike, end, moves)
    told = outlook_of(counted=counted, spring=spring, change=change, usable_mm=usable, name=name)
    by = None if sag_mm is None else sag_shift_mm(spring=spring, change=change, sag_mm=sag_mm)
    return RingOutlook(
        end,
        usable,
        told=replace(told, cautions=(*told.cautions, *_left_out(counted))),
        sentence=expected_words(outlook=told, sag_moves_mm=by),
        sag_mm=sag_mm,
        sag_moves_mm=by,
        kept=None if sag_mm is None else _sag_kept(spring, change, told.level_mm, usable, sag_mm),
    )


def untold(adjusters: Sequence[Adjuster]) -> RingOutlook | None:
    """Why a ring says nothing of damping or of how the bike stands; None for anything else."""
    for adjuster in adjusters:
        if adjuster.function in DAMPING:
            (words,) = damping_shift(end=adjuster.end).cautions
            return RingOutlook(End(adjuster.end), refused=words)
        if adjuster.function in GEOMETRY:
            words = _("How the bike stands cannot be told by the ring.")
            return RingOutlook(End(adjuster.end), refused=words)
    return None


def _this_one(adjusters: Sequence[Adjuster]) -> list[str]:
    return [_("this one"), *damping_with_it(adjusters)]


def _sag_kept(
    spring: EndSpring, change: EndChange, ring_mm: float, usable_mm: float, sag_mm: float
) -> SagKept | None:
    """A swap of the springs with as much preload as keeps the sag; None: there is none."""
    if not change.rate_n_per_mm:
        return None
    at = sag_mm if spring.linkage is None else spring.linkage.stroke(sag_mm)
    try:
        preload = preload_for_the_same_sag(
            spring=spring, rate_change_n_per_mm=change.rate_n_per_mm, sag_at_mm=at
        )
        kept = replace(change, preload_mm=preload)
        shift = ring_shift(spring=spring, change=kept, ring_mm=ring_mm, usable_mm=usable_mm)
    except Refused:
        return None
    return SagKept(preload, shift.mm)


def _left_out(counted: RingsThatCount) -> tuple[str, ...]:
    """The reasons for which rings of the book do not count, each said once."""
    said = (_("A ring left out: %(why)s") % {"why": one.why} for one in counted.left_out)
    return tuple(dict.fromkeys(said))


def sag_mm_of(bike: Bike, end: End) -> float | None:
    """The last rider's sag of an end: two queries."""
    rows = Reading.objects.filter(bike=bike, kind=SAG.name, end=end, withdrawn_at=None)
    newest = list(rows.prefetch_related("measurements").order_by("-accepted_at")[:1])
    read = sags(newest)
    return read[0].rider_mm if read else None
