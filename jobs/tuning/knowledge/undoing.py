"""Undo a change whose effect was not seen, and a rebound that was set on cold oil."""

from collections.abc import Hashable, Mapping
from decimal import Decimal

from ..cooling import HOT_MINUTES
from ..terms import AdjusterFunction, End, OilState, Verdict
from ..words import _
from .adjuster_moves import AdjusterMove, may_stand
from .bike_case import BikeCase
from .cautions import cautions_of
from .end_plans import Suggestion, SuggestionKind
from .facts import END_WORDS
from .reasoning_input import TriedChange
from .step_offers import change_words


def tried_words(tried: TriedChange) -> str:
    return change_words(tried.end, tried.function, tried.direction)


def to_put_back(case: BikeCase, end: End) -> TriedChange | None:
    """The last change on an end, if its effect was not seen and it is not undone yet."""
    tried = case.tried_on(end)
    last = tried[-1] if tried else None
    if last and last.verdict == Verdict.NOT_SEEN and not last.put_back:
        return last
    return None


def way_back(case: BikeCase, tried: TriedChange) -> Suggestion | None:
    """The suggestion to undo a change; None if the bike does not allow all its moves."""
    moves = _moves(case, {key: from_ for key, from_, _to in tried.moves})
    if not moves:
        return None
    return Suggestion(
        sort=SuggestionKind.WAY_BACK,
        end=tried.end,
        text=_("Put it back first: {change}", change=tried_words(tried)),
        function=tried.function,
        direction=tried.direction.opposite,
        moves=moves,
        because=(_("Not seen: {what}", what=tried.expected or tried_words(tried)),),
        expected=_("As it was before the change; then the next suspect."),
        cautions=cautions_of(tried.function),
    )


def as_arrived(case: BikeCase, end: End) -> Suggestion | None:
    """The suggestion to put rebound that was moved on cold oil back to as arrived."""
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
        sort=SuggestionKind.AS_ARRIVED,
        end=end,
        text=_("{end} rebound back to as arrived, check again hot", end=END_WORDS[end]),
        function=AdjusterFunction.REBOUND,
        moves=moves,
        because=(_("It was set on cold oil: cold is a condition, not a fault."),),
        expected=_("A hot push test within {minutes} minutes of the stop.", minutes=HOT_MINUTES),
        cautions=cautions_of(AdjusterFunction.REBOUND),
    )


def _moves(case: BikeCase, wanted: Mapping[Hashable, Decimal]) -> tuple[AdjusterMove, ...]:
    """A move for every adjuster at another position; none at all if one is not allowed."""
    moves = []
    for adjuster in case.bike.adjusters:
        to = wanted.get(adjuster.key)
        if to is None or adjuster.position is None or adjuster.position == to:
            continue
        if not may_stand(adjuster, to, case.bike):
            return ()
        moves.append(AdjusterMove(adjuster, adjuster.position, to))
    return tuple(moves)
