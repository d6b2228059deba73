"""What the next ring should show after a change of an adjuster, and where a ring after it came.

Nothing is said where the book does not hold it: each refusal says by name what is missing, or
what makes the ring mean nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from jobs.garage.enums import End, Function
from jobs.garage.models import Bike
from jobs.people.selectors import business_get, own_bands
from jobs.setups.models import Expectation, Reading
from jobs.setups.reading_kinds import SAG
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.tuning import Refused
from jobs.tuning.outlook import (
    EndChange,
    Landing,
    Outlook,
    RingsThatCount,
    expected_words,
    judged_by_the_ring,
    landed,
    landed_words,
    only_change_at_the_end,
    outlook_of,
    rings_that_count,
    sag_shift_mm,
)
from jobs.tuning.terms import Verdict

from .change_sets import ChangeSet, change_sets_of
from .observations import sags
from .ring_shifts import Move, end_change_of, end_spring_of, name_of, usable_at_the_ring
from .rings import (
    RING_PLACE,
    RingRow,
    RingsOfBike,
    ring_prior,
    rings_of_bike,
)

TOLD = (Function.PRELOAD, Function.OIL_LEVEL)


@dataclass(frozen=True)
class RingOutlook:
    """What is said of one change: ``told`` with its sentence, or ``refused`` by name."""

    end: End
    usable_mm: float = 0.0
    told: Outlook | None = None
    sentence: str = ""
    refused: str = ""


@dataclass(frozen=True)
class RingLanded:
    """Where the first ring after a change came, in one sentence, and what it judges."""

    outlook: RingOutlook
    used_mm: float
    landing: Landing
    sentence: str
    verdict: Verdict | None


def ring_outlook_of(entry: Entry, moves: Sequence[Move]) -> RingOutlook | None:
    """The outlook of moves about to be made, all of one end; None where no ring shows any.

    Eleven queries, none where the adjuster moves no ring.
    """
    adjusters = [adjuster for adjuster, _start, _end in moves]
    if not adjusters or adjusters[0].function not in TOLD:
        return None
    end = End(adjusters[0].end)
    try:
        book = rings_of_bike(entry.bike)
        only_change_at_the_end(changed=[*book.changed_since(end), _("this one")])
        counted = rings_that_count(
            rings=[row.ring for row in book.rows(end)],
            now=book.circumstances(entry, end, clock.now(entry.trackday)),
            place=RING_PLACE[end],
            prior=ring_prior(end, own_bands(business_get())),
        )
        change = end_change_of(moves)
        return _told(entry.bike, end, counted, change, name="")
    except Refused as refused:
        return RingOutlook(end, refused=refused.words)


def ring_landed(expectation: Expectation) -> RingLanded | None:
    """Where the first ring after the change of an expectation came; None where none was read.

    None too where no ring shows the change, or where the book does not hold what it needs.
    """
    row = expectation.adjustment
    if row.adjuster.function not in TOLD:
        return None
    bike, end = row.adjuster.bike, End(row.adjuster.end)
    sets = change_sets_of(adjuster__bike=bike)
    made = next((one for one in sets if row.pk in {each.pk for each in one.rows}), None)
    if made is None:
        return None
    book = rings_of_bike(bike)
    before, after = book.around(end, made.made_at)
    if not after:
        return None
    try:
        return _landed(book, bike, end, made, (before, after[0]))
    except Refused:
        return None


def _landed(
    book: RingsOfBike,
    bike: Bike,
    end: End,
    made: ChangeSet,
    rings: tuple[Sequence[RingRow], RingRow],
) -> RingLanded | None:
    before, first = rings
    ring = first.ring
    if before:
        only_change_at_the_end(changed=book.changed_between(end, before[-1], first))
    counted = rings_that_count(
        rings=[row.ring for row in before],
        now=ring.seen_in,
        place=RING_PLACE[end],
        prior=ring_prior(end, own_bands(business_get())),
    )
    change = end_change_of((r.adjuster, r.from_position, r.to_position) for r in made.rows)
    found = _told(bike, end, counted, change, name=name_of(made))
    if found.told is None or ring.place != RING_PLACE[end]:
        return None
    told = found.told
    landing = landed(
        band=told.band,
        unchanged=told.unchanged,
        used_mm=ring.used_mm,
        last_mm=counted.last_mm,
        put_back=ring.put_back,
        laps=ring.laps,
    )
    verdict = judged_by_the_ring(
        visibility=told.visibility,
        unchanged=told.unchanged,
        landing=landing,
        used_mm=ring.used_mm,
    )
    words = landed_words(outlook=told, landing=landing, used_mm=ring.used_mm, verdict=verdict)
    return RingLanded(found, ring.used_mm, landing, words, verdict)


def _told(
    bike: Bike, end: End, counted: RingsThatCount, change: EndChange | None, *, name: str
) -> RingOutlook:
    usable = usable_at_the_ring(bike, end)
    if change is None:
        raise Refused(_("One turn of preload in mm is not known: enter it under Figures."))
    if usable is None:
        raise Refused(
            _("Enter the usable travel of the fork under Figures.")
            if end == End.FRONT
            else _("Enter the usable stroke of the shock's shaft under Figures.")
        )
    spring = end_spring_of(bike, end)
    told = outlook_of(counted=counted, spring=spring, change=change, usable_mm=usable, name=name)
    sag = _sag_mm(bike, end)
    moves = None if sag is None else sag_shift_mm(spring=spring, change=change, sag_mm=sag)
    sentence = expected_words(outlook=told, sag_moves_mm=moves)
    told = replace(told, cautions=(*told.cautions, *_left_out(counted)))
    return RingOutlook(end, usable, told, sentence)


def _left_out(counted: RingsThatCount) -> tuple[str, ...]:
    """The reasons for which rings of the book do not count, each said once."""
    said = (_("A ring left out: %(why)s") % {"why": one.why} for one in counted.left_out)
    return tuple(dict.fromkeys(said))


def _sag_mm(bike: Bike, end: End) -> float | None:
    """The last rider's sag of an end."""
    rows = Reading.objects.filter(bike=bike, kind=SAG.name, end=end, withdrawn_at=None)
    newest = list(rows.prefetch_related("measurements").order_by("-accepted_at")[:1])
    read = sags(newest)
    return read[0].rider_mm if read else None
