"""The changes that a finding asks for on one end, checked against the bike."""

from collections.abc import Iterator

from ..terms import AdjusterFunction, End, Verdict
from ..words import _
from .adjuster_moves import StepNotPossible, function_words, moves_of
from .assessing import ExplainedFinding, SuspectState
from .bike_case import BikeCase
from .catalogue import ChangeDirection, ChangeStep
from .cautions import cautions_of
from .end_plans import NotOffered, Suggestion, SuggestionKind
from .facts import END_WORDS
from .finding_reader import FAST_RETURN, SLOW_RETURN

DIRECTION_WORDS = {
    ChangeDirection.FIRMER: _("firmer"),
    ChangeDirection.SOFTER: _("softer"),
    ChangeDirection.MORE: _("more"),
    ChangeDirection.LESS: _("less"),
}


def offers(case: BikeCase, row: ExplainedFinding, end: End) -> Iterator[Suggestion | NotOffered]:
    """Every change that one finding asks for on ``end``, in its order, or why it is not offered.

    A remedy that is not an adjuster comes first and alone: one change at a time.
    """
    if any(w.suspect.word_first and w.standing != SuspectState.CONTRADICTED for w in row.suspects):
        return  # first the rider is asked
    remedies = [remedy for remedy in _remedies(row, end) if not _overruled(case, remedy)]
    if remedies:
        yield remedies[0]
        return
    for step in row.finding.steps:
        if _step_end(row, step) == end and _wanted(case, row, step):
            yield _offer(case, row, step, end)


def change_words(end: End, function: AdjusterFunction, direction: ChangeDirection) -> str:
    """A change in a few words: "Front rebound softer"."""
    return _(
        "{end} {function} {way}",
        end=END_WORDS[end],
        function=function_words(function),
        way=DIRECTION_WORDS[direction],
    )


def _step_end(row: ExplainedFinding, step: ChangeStep) -> End | None:
    return step.end or row.finding.end_of(row.logged.end)


def _remedies(row: ExplainedFinding, end: End) -> Iterator[Suggestion]:
    for weighed in row.suspects:
        suspect = weighed.suspect
        here = row.finding.end_of(row.logged.end) in (end, None)
        if suspect.do and weighed.standing == SuspectState.SUPPORTED and here:
            yield Suggestion(
                sort=SuggestionKind.REMEDY,
                end=end,
                text=suspect.do,
                because=(suspect.text, *weighed.because),
                expected=row.finding.next,
                worse=row.finding.worse,
                cautions=cautions_of(None),
                finding=row.finding,
                suspect=suspect.order,
            )


def _wanted(case: BikeCase, row: ExplainedFinding, step: ChangeStep) -> bool:
    """Whether today's facts ask for this step."""
    end = row.finding.end_of(row.logged.end)
    if row.weighed(step.suspect).standing != SuspectState.SUPPORTED:
        return False
    if step.when and not step.when.holds(case.facts, end):
        return False
    if any(condition.holds(case.facts, end) for condition in step.unless):
        return False
    if any(row.weighed(order).standing != SuspectState.CONTRADICTED for order in step.after):
        return False
    return all(
        not any(adjuster.open_to_change for adjuster in case.bike.of(*place))
        for place in step.instead_of
    )


def _offer(
    case: BikeCase, row: ExplainedFinding, step: ChangeStep, end: End
) -> Suggestion | NotOffered:
    why = _why_not(case, row, step, end)
    moves = StepNotPossible(why) if why else moves_of(step, end, case.bike)
    if isinstance(moves, StepNotPossible):
        return NotOffered(row.finding.code, end, step.function, step.direction, moves.why)
    weighed, finding = row.weighed(step.suspect), row.finding
    return Suggestion(
        sort=SuggestionKind.CHANGE,
        end=end,
        text=change_words(end, step.function, step.direction),
        function=step.function,
        direction=step.direction,
        moves=moves,
        because=(weighed.suspect.text, *weighed.because),
        expected=finding.next,
        signs=step.expect,
        worse=finding.worse,
        cautions=cautions_of(
            step.function, is_listed=any(not m.adjuster.range_counted for m in moves)
        ),
        finding=finding,
        suspect=step.suspect,
    )


def _why_not(case: BikeCase, row: ExplainedFinding, step: ChangeStep, end: End) -> str:
    """Why a step is not offered: overruled, tried, or rebound without a hot push; or empty."""
    overruled = case.past.overruled.get((row.finding.code, end, step.function, step.direction))
    if overruled is not None:
        return _("Overruled today: {reason}", reason=overruled)
    for tried in case.tried_on(end):
        same = (tried.finding, tried.function, tried.direction) == (
            row.finding.code, step.function, step.direction,
        )  # fmt: skip
        if same and tried.verdict == Verdict.NOT_SEEN:
            return _("Tried today and not seen.")
    if step.function == AdjusterFunction.REBOUND:
        wanted = SLOW_RETURN if step.direction == ChangeDirection.SOFTER else FAST_RETURN
        if case.hot_push_state(end) not in wanted:
            return case.facts.find_out("push", end)
    return ""


def _overruled(case: BikeCase, remedy: Suggestion) -> bool:
    return remedy.name in case.past.overruled
