"""What the next hot push should show after a change of rebound clicks, and what it showed.

The effect of a click is learned from the pairs of this adjuster, its model and all bikes
together. One pair says little, so a push judges no change; it is shown beside its band.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from jobs.garage.enums import Function, OilState, Unit
from jobs.setups.models import Expectation
from jobs.trackday.models import Entry
from jobs.tuning import Refused
from jobs.tuning.outlook import Response, response, seconds_next

from .push_pairs import (
    AboutOneChange,
    PushBook,
    adjuster_key,
    clicks_firmer,
    model_key,
    push_book,
)
from .ring_shifts import Move


@dataclass(frozen=True)
class PushOutlook:
    """The seconds of the last hot push and of the next one, or why they are not told.

    ``expected`` is what should be seen, without what it is worth; ``read_s`` what was read
    after the change, where it is known.
    """

    seconds_now: float = 0.0
    middle: float = 0.0
    low: float = 0.0
    high: float = 0.0
    learned: Response | None = None
    sentence: str = ""
    expected: str = ""
    refused: str = ""
    read_s: float | None = None

    @property
    def told(self) -> bool:
        return self.learned is not None

    @property
    def rests_on(self) -> str:
        """How many pairs it is learned from, and how much of it is this adjuster's own."""
        if self.learned is None:
            return ""
        return _(
            "Learned from pairs of hot pushes about one change: %(pairs)d; %(own).0f %% of it is "
            "this adjuster's own, the rest its model's and all others'."
        ) % {"pairs": self.learned.pairs, "own": 100 * self.learned.own_share}


def push_outlook_of(entry: Entry, moves: Sequence[Move]) -> PushOutlook | None:
    """The outlook of rebound clicks about to be turned: at most four queries.

    None for anything else.
    """
    clicks = _clicks(moves)
    if clicks is None:
        return None
    adjuster, book = moves[0][0], push_book(entry.bike)
    push = book.last_push((entry.bike_id, adjuster.end), entry.pk)
    if push is None:
        return PushOutlook(
            refused=_("No push was timed since the last change at this end: push it, hot, first.")
        )
    if push.oil != OilState.HOT:
        return PushOutlook(
            refused=_(
                "The oil was %(oil)s at the last timed push: clicks are told of hot oil only."
            )
            % {"oil": OilState(push.oil).label}
        )
    learned = response(
        pairs=book.pairs(),
        adjuster=adjuster_key(adjuster.pk, adjuster.pair),
        model=model_key(entry.bike.make, entry.bike.model, adjuster.end),
    )
    try:
        return _told(learned, push.seconds, clicks)
    except Refused as refused:
        return PushOutlook(refused=refused.words)


def push_landed(expectation: Expectation) -> PushOutlook | None:
    """The pushes about the change of an expectation: at most four queries.

    None where it turned no rebound clicks, or where a push before or after it was not timed.
    """
    row = expectation.adjustment
    if row.adjuster.function != Function.REBOUND:
        return None
    book = push_book(row.adjuster.bike)
    made = _about(book, expectation)
    if made is None or made.before is None or made.after is None:
        return None
    try:
        made.pair()
    except Refused as refused:
        return PushOutlook(refused=refused.words)
    moved, read = made.moved, made.after.seconds
    learned = response(pairs=book.pairs(until=moved.at), adjuster=moved.adjuster, model=moved.model)
    found = _told(learned, made.before.seconds, moved.clicks_firmer)
    words = _landed_words(found, read)
    return replace(found, sentence=words, read_s=read)


def _about(book: PushBook, expectation: Expectation) -> AboutOneChange | None:
    row = expectation.adjustment
    act = str(row.linked or row.pk)
    place = row.adjuster.bike_id, row.adjuster.end
    return next((one for one in book.about(place) if one.moved.act == act), None)


def _clicks(moves: Sequence[Move]) -> float | None:
    """How many clicks firmer all are turned; None: not rebound, not clicks, or not alike."""
    if not moves or any(
        (adjuster.function, adjuster.unit) != (Function.REBOUND, Unit.CLICK)
        for adjuster, _start, _end in moves
    ):
        return None
    turned = {
        clicks_firmer(adjuster.firming, start, end)
        for adjuster, start, end in moves
        if start is not None and end is not None
    }
    return turned.pop() if len(turned) == 1 else None


def _told(learned: Response, seconds: float, clicks: float) -> PushOutlook:
    middle, low, high = seconds_next(response=learned, seconds_now=seconds, clicks_firmer=clicks)
    figures = {"now": seconds, "middle": middle, "low": low, "high": high}
    expected = _("Hot push about %(middle).2f s, between %(low).2f and %(high).2f; now %(now).2f s")
    expected %= figures
    told = _("One pair of pushes shows the wrong direction one time in four: push three times.")
    return PushOutlook(seconds, middle, low, high, learned, f"{expected}. {told}", expected)


def _landed_words(found: PushOutlook, read: float) -> str:
    inside = found.low <= read <= found.high
    said = (
        _("Hot push %(read).2f s after %(now).2f s: within %(low).2f to %(high).2f as expected.")
        if inside
        else _("Hot push %(read).2f s after %(now).2f s: outside %(low).2f to %(high).2f.")
    ) % {"read": read, "now": found.seconds_now, "low": found.low, "high": found.high}
    return f"{said} " + _("One pair of pushes does not tell what the clicks did.")
