"""From findings to advice: at most one suggested change per end.

The order is: a hold comes first; then a change that is not judged yet must be judged; then a
change that was not seen is undone; then comes the first step in the order of work (mechanical,
tyres, pressures, sag, rebound, compression, geometry) that this bike allows.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from ..outlook import Visibility, Visible
from ..terms import AdjusterFunction, End, Verdict
from ..words import _
from .assessing import ExplainedFinding, SuspectState
from .bike_case import BikeCase, Shows, case_of
from .end_plans import BikeAdvice, EndPlan, NotOffered, Suggestion
from .limits import Limits
from .reasoning_input import BikeSetup, EarlierToday, LoggedFinding, Observations
from .step_offers import offers
from .undoing import as_arrived, to_put_back, tried_words, way_back

# Suggestions of one stage are equal in the order of work.
STAGES: dict[AdjusterFunction | None, str] = {
    AdjusterFunction.PRELOAD: "sag",
    AdjusterFunction.SPRING: "sag",
    AdjusterFunction.COMPRESSION: "compression",
    AdjusterFunction.COMPRESSION_HIGH: "compression",
    AdjusterFunction.TUBE_HEIGHT: "geometry",
    AdjusterFunction.SHOCK_LENGTH: "geometry",
    AdjusterFunction.LINKAGE: "geometry",
}
ORDER_OF_WORK: tuple[AdjusterFunction | None, ...] = (
    None,  # a remedy that is not an adjuster: tyres come before pressures
    AdjusterFunction.TYRE_PRESSURE,
    AdjusterFunction.PRELOAD,
    AdjusterFunction.SPRING,
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


def advise(
    *,
    bike: BikeSetup,
    observed: Observations,
    logged: Sequence[LoggedFinding],
    past: EarlierToday | None = None,
    limits: Limits | None = None,
    shows: Shows | None = None,
) -> BikeAdvice:
    """Explain every finding logged today, and suggest at most one change for each end.

    It follows common practice, with the sources of each finding. Where sources disagree, the
    advice says so. ``shows``: of suggestions equal in the order of work, that one stands first
    whose effect the ring shows soonest.
    """
    case = case_of(bike, observed, logged, past or EarlierToday(), limits or Limits(), shows)
    return BikeAdvice(case.explained, tuple(_plan(case, end) for end in End))


def _plan(case: BikeCase, end: End) -> EndPlan:
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


def _wait(case: BikeCase, end: End) -> str:
    """Why no new change is offered on this end now; empty: it may be."""
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


def _recheck(case: BikeCase, end: End) -> str:
    """The push test to repeat, if none of this turnaround was hot."""
    if case.last_push(end) is None or case.hot_push(end):
        return ""
    return case.facts.find_out("push", end)


def _offers(case: BikeCase, end: End) -> tuple[list[Suggestion], list[NotOffered]]:
    """What may be offered on an end, the best first, and what may not."""
    all_ = [offer for row in case.explained for offer in offers(case, row, end)]
    possible = [offer for offer in all_ if isinstance(offer, Suggestion)]
    barred = [offer for offer in all_ if isinstance(offer, NotOffered)]
    opposed = _opposed(possible)
    barred += [_not_offered_opposite(offer) for offer in possible if offer.function in opposed]
    kept = [offer for offer in possible if offer.function not in opposed]
    kept.sort(key=lambda offer: ORDER_OF_WORK.index(offer.function))
    return _seen_first(case, _merged(kept)), list(dict.fromkeys(barred))


def _seen_first(case: BikeCase, possible: Sequence[Suggestion]) -> list[Suggestion]:
    """Within a stage of the work, first what the ring shows in the fewest outings."""
    found: list[Suggestion] = []
    for stage, offered in groupby(possible, key=lambda offer: STAGES.get(offer.function)):
        same = list(offered)
        if stage is None or case.shows is None or len(same) == 1:
            found += same
            continue
        outings = {offer.name: _outings(case.shows(offer.moves)) for offer in same}
        ranked = sorted(same, key=lambda offer: outings[offer.name])
        if ranked[0] is not same[0]:
            ranked[0] = _preferred(ranked[0], same[0], int(outings[ranked[0].name]))
        found += ranked
    return found


def _outings(shown: Visibility | None) -> float:
    """How many outings show it on each side of the change; without end where none would."""
    if shown is None or shown.visible == Visible.TOO_SMALL:
        return math.inf
    return shown.outings


def _preferred(offer: Suggestion, other: Suggestion, outings: int) -> Suggestion:
    words = (
        _("{other} is equal in the order of work; this one shows in the ring after one outing.",
          other=other.text)
        if outings == 1
        else _("{other} is equal in the order of work; this one shows in the ring after {n} "
               "outings before and {n} after.", other=other.text, n=outings)
    )  # fmt: skip
    return replace(offer, preferred=words)


def _opposed(possible: Sequence[Suggestion]) -> set[AdjusterFunction]:
    """Functions that two of today's findings would change in opposite directions."""
    ways = {(offer.function, offer.direction) for offer in possible if offer.function}
    return {
        function for function, way in ways if function and way and (function, way.opposite) in ways
    }


def _not_offered_opposite(offer: Suggestion) -> NotOffered:
    assert offer.finding is not None
    assert offer.function is not None
    assert offer.direction is not None
    why = _("Two findings pull this adjuster opposite ways: make the checks first.")
    return NotOffered(offer.finding.code, offer.end, offer.function, offer.direction, why)


def _merged(possible: Sequence[Suggestion]) -> list[Suggestion]:
    """One offer per change, which names the other findings that ask for the same change."""
    kept: dict[object, Suggestion] = {}
    for offer in possible:
        key = (offer.function, offer.direction) if offer.function else offer.name
        first = kept.setdefault(key, offer)
        if first is not offer and offer.finding and offer.finding != first.finding:
            codes = dict.fromkeys((*first.also_points_here, offer.finding.code))
            kept[key] = replace(first, also_points_here=tuple(codes))
    return list(kept.values())


def _then(
    case: BikeCase, end: End, suggestion: Suggestion | None, possible: Sequence[Suggestion]
) -> tuple[str, ...]:
    """What to look at after the next outings: the suggestion's result, then open questions."""
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


def _open_questions(row: ExplainedFinding) -> list[str]:
    return [
        _("{suspect}: {check}", suspect=weighed.suspect.text, check=weighed.check)
        for weighed in row.suspects
        if weighed.standing == SuspectState.UNKNOWN and weighed.check
    ]
