"""Where the first ring after a change came, and what it says of the change."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.people.selectors import business_get, own_bands
from jobs.setups.models import Expectation
from jobs.tuning import Refused
from jobs.tuning.outlook import (
    Landing,
    judged_by_the_ring,
    landed,
    landed_words,
    only_change_at_the_end,
    read_elsewhere,
    rings_that_count,
)
from jobs.tuning.terms import Verdict

from .change_sets import ChangeSet, change_sets_of
from .ring_outlook import TOLD, RingOutlook, damping_with_it, outlook_told
from .ring_shifts import moves_of, name_of
from .rings import RING_PLACE, RingRow, RingsOfBike, ring_prior, rings_of_bike


@dataclass(frozen=True)
class RingLanded:
    """Where the first ring after a change came, in one sentence, and what it judges.

    Without a ``landing`` nothing can be said of it; the sentence says by name why.
    """

    outlook: RingOutlook
    used_mm: float
    sentence: str
    landing: Landing | None = None
    verdict: Verdict | None = None


def ring_landed(expectation: Expectation) -> RingLanded | None:
    """Where the first ring after the change of an expectation came; None where none was read.

    None too where no ring shows the change at all.
    """
    row = expectation.adjustment
    bike, end = row.adjuster.bike, End(row.adjuster.end)
    if row.adjuster.function not in TOLD:
        return None
    made = change_made(expectation)
    return None if made is None else landed_of_change(rings_of_bike(bike), bike, end, made)


def change_made(expectation: Expectation) -> ChangeSet | None:
    """The whole change that an expectation hangs on."""
    row = expectation.adjustment
    sets = change_sets_of(adjuster__bike=row.adjuster.bike_id)
    return next((one for one in sets if row.pk in {each.pk for each in one.rows}), None)


def landed_of_change(book: RingsOfBike, bike: Bike, end: End, made: ChangeSet) -> RingLanded | None:
    """Where the first ring after a change came, from the rings of its bike: two queries."""
    before, after = book.around(end, made.made_at)
    if not after:
        return None
    try:
        return _landed(book, bike, end, made, (before, after[0]))
    except Refused as refused:
        return RingLanded(RingOutlook(end), after[0].ring.used_mm, refused.words)


def _landed(
    book: RingsOfBike,
    bike: Bike,
    end: End,
    made: ChangeSet,
    rings: tuple[Sequence[RingRow], RingRow],
) -> RingLanded:
    before, first = rings
    ring = first.ring
    damping = damping_with_it([row.adjuster for row in made.rows])
    changed = book.changed_between(end, before[-1], first) if before else [made.function]
    only_change_at_the_end(changed=[*changed, *damping])
    if ring.place != RING_PLACE[end]:
        raise Refused(read_elsewhere(ring.place))
    counted = rings_that_count(
        rings=[row.ring for row in before],
        now=ring.seen_in,
        place=RING_PLACE[end],
        prior=ring_prior(end, own_bands(business_get())),
    )
    found = outlook_told(bike, end, counted, moves_of(made), name=name_of(made))
    told = found.told
    assert told is not None
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
    return RingLanded(found, ring.used_mm, words, landing, verdict)
