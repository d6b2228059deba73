"""From what is seen to what is done: at most one suggested change per end.

The order is the method's: a hold first, then the change that is not judged yet, then the
way back from one that was not seen, then the first step in the order of work (mechanical,
tyres, pressures, sag, rebound, compression, geometry) that this bike allows.
"""

from collections.abc import Sequence
from dataclasses import replace

from ..terms import AdjusterFunction, End, Verdict
from ..words import _
from .bike import Bike, Logged, Observed, Past
from .case import Case, case_of
from .limits import Limits
from .offering import offers
from .plans import Counsel, EndPlan, NotOffered, Suggestion
from .returning import as_arrived, to_put_back, tried_words, way_back
from .weighing import Explained, Standing

ORDER_OF_WORK: tuple[AdjusterFunction | None, ...] = (
    None,  # a remedy that is no adjuster: tyres come before pressures
    AdjusterFunction.TYRE_PRESSURE,
    AdjusterFunction.PRELOAD,
    AdjusterFunction.REBOUND,
    AdjusterFunction.COMPRESSION,
    AdjusterFunction.COMPRESSION_HIGH,
    AdjusterFunction.TUBE_HEIGHT,
    AdjusterFunction.SHOCK_LENGTH,
    AdjusterFunction.LINKAGE,
    AdjusterFunction.STEERING_DAMPER,
    AdjusterFunction.OIL_LEVEL,
    AdjusterFunction.MODE,
)


def counsel(
    *,
    bike: Bike,
    observed: Observed,
    logged: Sequence[Logged],
    past: Past | None = None,
    limits: Limits | None = None,
) -> Counsel:
    """Every finding logged today explained, and for each end at most one change.

    Common practice, with the source of each finding; sources disagree and the answer says so.
    """
    case = case_of(bike, observed, logged, past or Past(), limits or Limits())
    return Counsel(case.explained, tuple(_plan(case, end) for end in End))


def _plan(case: Case, end: End) -> EndPlan:
    possible, barred = _offers(case, end)
    wait = _wait(case, end)
    suggestion = None
    undo = to_put_back(case, end)
    if not wait and undo:
        suggestion = way_back(case, undo)
        if suggestion is None:
            wait = _("{change} was not seen: put it back by hand first.", change=tried_words(undo))
    if not wait and not suggestion:
        suggestion = as_arrived(case, end) or (possible[0] if possible else None)
    return EndPlan(
        end=end,
        suggestion=suggestion,
        wait=wait,
        recheck=_recheck(case, end),
        not_offered=tuple(barred),
        then=_then(case, end, suggestion, possible),
    )


def _wait(case: Case, end: End) -> str:
    """Why nothing new is offered on this end yet."""
    if case.bike.holds:
        return _("Held: {hold}. No change before a tuner releases it.", hold=case.bike.holds[0])
    for row in case.explained:
        if row.stops and row.finding.end_of(row.logged.end) in (end, None):
            return _("{stop}. No change before a tuner has seen it.", stop=row.stops[0].text)
    standing = [tried for tried in case.tried_on(end) if not tried.put_back]
    last = standing[-1] if standing else None
    if last and last.verdict is None:
        return _(
            "{change} is not judged yet: a second change on this end confounds both.",
            change=tried_words(last),
        )
    if last and last.verdict == Verdict.NOT_TESTED:
        return _(
            "{change} was not tested: leave it, look again after the next outing.",
            change=tried_words(last),
        )
    return ""


def _recheck(case: Case, end: End) -> str:
    """The push test to make again, where none of this turnaround was hot."""
    if case.last_push(end) is None or case.hot_push(end):
        return ""
    return case.facts.find_out("push", end)


def _offers(case: Case, end: End) -> tuple[list[Suggestion], list[NotOffered]]:
    """What may be offered on an end, best first, and what may not."""
    all_ = [offer for row in case.explained for offer in offers(case, row, end)]
    possible = [offer for offer in all_ if isinstance(offer, Suggestion)]
    barred = [offer for offer in all_ if isinstance(offer, NotOffered)]
    torn = _torn(possible)
    barred += [_torn_words(offer) for offer in possible if offer.function in torn]
    kept = [offer for offer in possible if offer.function not in torn]
    kept.sort(key=lambda offer: ORDER_OF_WORK.index(offer.function))
    return _merged(kept), list(dict.fromkeys(barred))


def _torn(possible: Sequence[Suggestion]) -> set[AdjusterFunction]:
    """Functions that today's findings pull both ways."""
    ways = {(offer.function, offer.direction) for offer in possible if offer.function}
    return {
        function for function, way in ways if function and way and (function, way.opposite) in ways
    }


def _torn_words(offer: Suggestion) -> NotOffered:
    assert offer.finding is not None
    assert offer.function is not None
    assert offer.direction is not None
    why = _("Two findings pull this adjuster opposite ways: make the checks first.")
    return NotOffered(offer.finding.code, offer.end, offer.function, offer.direction, why)


def _merged(possible: Sequence[Suggestion]) -> list[Suggestion]:
    """One offer per change; other findings that ask for the same one are named on it."""
    kept: dict[object, Suggestion] = {}
    for offer in possible:
        key = (offer.function, offer.direction) if offer.function else offer.name
        first = kept.setdefault(key, offer)
        if first is not offer and offer.finding and offer.finding != first.finding:
            codes = dict.fromkeys((*first.also_points_here, offer.finding.code))
            kept[key] = replace(first, also_points_here=tuple(codes))
    return list(kept.values())


def _then(
    case: Case, end: End, suggestion: Suggestion | None, possible: Sequence[Suggestion]
) -> tuple[str, ...]:
    """What each next outing will tell: the suggestion's own answer, then what is left open."""
    lines: list[str] = []
    if suggestion and suggestion.expected:
        change, what = suggestion.text, suggestion.expected
        lines.append(_("Next outing: {change}. Seen? {what}", change=change, what=what))
    lines += [
        _("Then, if it is still there: {change}", change=offer.text)
        for offer in possible
        if suggestion is None or offer.name != suggestion.name
    ]
    for row in case.explained:
        if row.finding.end_of(row.logged.end) in (end, None):
            lines += _open_questions(row)
    return tuple(dict.fromkeys(lines))


def _open_questions(row: Explained) -> list[str]:
    return [
        _("{suspect}: {check}", suspect=weighed.suspect.text, check=weighed.check)
        for weighed in row.suspects
        if weighed.standing == Standing.UNKNOWN and weighed.check
    ]
