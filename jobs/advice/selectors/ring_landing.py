"""Where the first ring after a change came, and what it says of the change."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from jobs.garage.enums import End
from jobs.people.selectors import business_get, own_bands
from jobs.setups.enums import ToldBy
from jobs.setups.models import Adjustment, Expectation, Reading
from jobs.setups.reading_kinds import TRAVEL
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
from .ring_outlook import TOLD, RingOutlook, damping_with_it, outlook_told, sag_mm_of, untold
from .ring_shifts import DAMPING, GEOMETRY, moves_of, name_of
from .rings import RING_PLACE, RingRow, RingsOfBike, ring_prior, rings_of_bike, rings_of_bikes

# What a ring is asked about, told or refused by name.
RINGED = (*TOLD, *DAMPING, *GEOMETRY)


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

    None too where it has nothing to do with a ring: a tyre pressure, a mode.
    """
    row = expectation.adjustment
    bike, end = row.adjuster.bike, End(row.adjuster.end)
    if row.adjuster.function not in TOLD:
        return _landed_untold(row, end)
    made = change_made(expectation)
    if made is None:
        return None
    own = own_bands(business_get())
    return landed_of_change(rings_of_bike(bike), made, own=own, sag_mm=sag_mm_of(bike, end))


def _landed_untold(row: Adjustment, end: End) -> RingLanded | None:
    """The first ring after a change that no ring shows, with why: two queries."""
    nothing = untold([row.adjuster])
    if nothing is None:
        return None
    rings = Reading.objects.filter(
        bike=row.adjuster.bike_id, end=end, kind=TRAVEL.name, withdrawn_at=None,
        session__isnull=False, accepted_at__gt=row.accepted_at,
    )  # fmt: skip
    first = list(rings.prefetch_related("measurements").order_by("accepted_at")[:1])
    used = first[0].canonical("used") if first else ()
    return RingLanded(nothing, float(used[0]), nothing.refused) if used else None


def change_made(expectation: Expectation) -> ChangeSet | None:
    """The whole change that an expectation hangs on."""
    row = expectation.adjustment
    sets = change_sets_of(adjuster__bike=row.adjuster.bike_id)
    return next((one for one in sets if row.pk in {each.pk for each in one.rows}), None)


def landed_of_change(
    book: RingsOfBike,
    made: ChangeSet,
    *,
    own: Mapping[str, tuple[float, float]],
    sag_mm: float | None = None,
) -> RingLanded | None:
    """Where the first ring after a change came, from the rings of its bike; no query.

    ``own``: the business's own figures.
    """
    end = End(made.end)
    before, after = book.around(end, made.made_at)
    if not after:
        return None
    try:
        return _landed(book, made, (before, after[0]), own, sag_mm)
    except Refused as refused:
        return RingLanded(RingOutlook(end), after[0].ring.used_mm, refused.words)


def _landed(
    book: RingsOfBike,
    made: ChangeSet,
    rings: tuple[Sequence[RingRow], RingRow],
    own: Mapping[str, tuple[float, float]],
    sag_mm: float | None,
) -> RingLanded:
    before, first = rings
    ring, end = first.ring, End(made.end)
    adjusters = [row.adjuster for row in made.rows]
    if not any(one.function in TOLD for one in adjusters):
        nothing = untold(adjusters)
        raise Refused(nothing.refused if nothing else "")
    changed = book.changed_between(end, before[-1], first) if before else [made.function]
    only_change_at_the_end(changed=[*changed, *damping_with_it(adjusters)])
    if ring.place != RING_PLACE[end]:
        raise Refused(read_elsewhere(ring.place))
    counted = rings_that_count(
        rings=[row.ring for row in before],
        now=ring.seen_in,
        place=RING_PLACE[end],
        prior=ring_prior(end, own),
    )
    found = outlook_told(
        made.first.adjuster.bike, end, counted, moves_of(made), name=name_of(made), sag_mm=sag_mm
    )
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


def rings_that_cannot_tell(change_sets: Iterable[ChangeSet]) -> set[UUID]:
    """Of changes judged by a ring, the judgements whose ring could not tell: ten queries at most.

    The ring tells where one outing shows the change and nothing else makes it doubtful.
    """
    asked = [one for one in change_sets if one.judgement and one.judgement.told_by == ToldBy.RING]
    if not asked:
        return set()
    books = rings_of_bikes({one.first.adjuster.bike_id for one in asked})
    own = own_bands(business_get())
    found = set()
    for one in asked:
        book = books.get(one.first.adjuster.bike_id)
        said = landed_of_change(book, one, own=own) if book and one.function in RINGED else None
        if one.judgement and (said is None or said.verdict is None):
            found.add(one.judgement.pk)
    return found
