"""When an item is asked for: once, after each outing, before each, or after the last."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from jobs.trackday.where import Outing, Whereabouts

from .enums import Cadence


class Occasion(NamedTuple):
    """One time that an item is asked for, and the moments that its window is counted from."""

    session_id: int | None
    turnaround: int | None  # the session the bike came in from; None: before the first
    stop: datetime | None
    roll: datetime | None
    before: datetime | None  # when the outing it follows, or leads to, began
    previous: datetime | None  # when the outing before that began


class Occasions:
    """Every occasion of one entry's day; an outing that did not happen asks for nothing."""

    def __init__(self, where: Whereabouts, follow_ups: int) -> None:
        outings = [outing for outing in where.outings if outing.went is not False]
        self._rolls = [outing.out_at for outing in outings]
        following = _following(outings)
        self._after = {occasion.session_id: occasion for occasion in following}
        # The last outing has no next one that a change could be tried in.
        trials = [occasion for occasion in following if occasion.roll is not None]
        last = outings[-1].stop if outings else None
        self._by_cadence = {
            Cadence.EVERY.value: following,
            Cadence.FOLLOW_UP.value: trials[:follow_ups],
            Cadence.BEFORE.value: _leading(outings),
            Cadence.LAST.value: [Occasion(None, None, last, None, None, None)],
        }

    def after(self, session_id: int) -> Occasion | None:
        """When the bike is back from that session; None if it does not go out in it."""
        return self._after.get(session_id)

    def of(self, cadence: str, before_session: int) -> Sequence[Occasion]:
        """For work done once, the roll of the bike's ``before_session``-th outing ends it."""
        if cadence == Cadence.ONCE.value:
            rolls = self._rolls[before_session - 1 : before_session]
            return [Occasion(None, None, None, rolls[0] if rolls else None, None, None)]
        return self._by_cadence[cadence]


def _following(outings: Sequence[Outing]) -> list[Occasion]:
    return [
        Occasion(
            session_id=outing.times.session.pk,
            turnaround=outing.times.session.pk,
            stop=outing.stop,
            roll=outings[index + 1].out_at if index + 1 < len(outings) else None,
            before=outing.out_at,
            previous=outings[index - 1].out_at if index else None,
        )
        for index, outing in enumerate(outings)
    ]


def _leading(outings: Sequence[Outing]) -> list[Occasion]:
    return [
        Occasion(
            session_id=outing.times.session.pk,
            turnaround=previous.times.session.pk if previous else None,
            stop=previous.stop if previous else None,
            roll=outing.out_at,
            before=outing.out_at,
            previous=previous.out_at if previous else None,
        )
        for previous, outing in zip([None, *outings], outings, strict=False)
    ]
