"""Going back: a change that was not seen, and a rebound that was set on cold oil."""

from collections.abc import Hashable, Mapping
from decimal import Decimal

from ..terms import AdjusterFunction, End, OilState, Verdict
from ..words import _
from .bike import Tried
from .case import Case
from .cautions import cautions_of
from .facts import END_WORDS
from .moving import Move, may_stand
from .offering import change_words
from .plans import Sort, Suggestion


def tried_words(tried: Tried) -> str:
    return change_words(tried.end, tried.function, tried.direction)


def to_put_back(case: Case, end: End) -> Tried | None:
    """The last change on an end, where it was not seen and still stands."""
    tried = case.tried_on(end)
    last = tried[-1] if tried else None
    if last and last.verdict == Verdict.NOT_SEEN and not last.put_back:
        return last
    return None


def way_back(case: Case, tried: Tried) -> Suggestion | None:
    """The moves that undo a change; None where the bike does not allow all of them."""
    moves = _moves(case, {key: from_ for key, from_, _to in tried.moves})
    if not moves:
        return None
    return Suggestion(
        sort=Sort.WAY_BACK,
        end=tried.end,
        text=_("Put it back first: {change}", change=tried_words(tried)),
        function=tried.function,
        direction=tried.direction.opposite,
        moves=moves,
        because=(_("Not seen: {what}", what=tried.expected or tried_words(tried)),),
        expected=_("As it was before the change; then the next suspect."),
        cautions=cautions_of(tried.function),
    )


def as_arrived(case: Case, end: End) -> Suggestion | None:
    """Rebound moved on cold oil goes back to as arrived, before the hot check."""
    push = case.last_push(end)
    if push is None or push.oil != OilState.COLD or case.hot_push(end):
        return None
    adjusters = case.bike.of(end, AdjusterFunction.REBOUND)
    moves = _moves(
        case,
        {
            a.key: a.arrived
            for a in adjusters
            if a.moved_when == OilState.COLD and a.arrived is not None
        },
    )
    if not moves:
        return None
    return Suggestion(
        sort=Sort.AS_ARRIVED,
        end=end,
        text=_("{end} rebound back to as arrived, check again hot", end=END_WORDS[end]),
        function=AdjusterFunction.REBOUND,
        moves=moves,
        because=(_("It was set on cold oil: cold is a condition, not a fault."),),
        expected=_("A hot push test within 5 minutes of the stop."),
        cautions=cautions_of(AdjusterFunction.REBOUND),
    )


def _moves(case: Case, wanted: Mapping[Hashable, Decimal]) -> tuple[Move, ...]:
    """A move for every adjuster that stands elsewhere; none at all if one of them may not."""
    moves = []
    for adjuster in case.bike.adjusters:
        to = wanted.get(adjuster.key)
        if to is None or adjuster.position is None or adjuster.position == to:
            continue
        if not may_stand(adjuster, to, case.bike):
            return ()
        moves.append(Move(adjuster, adjuster.position, to))
    return tuple(moves)
