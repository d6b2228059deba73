"""The changes a finding asks for on one end, checked against the real bike."""

from collections.abc import Iterator

from ..terms import AdjusterFunction, End, Verdict
from ..words import _
from .case import Case
from .catalogue import Direction, Step
from .cautions import cautions_of
from .facts import END_WORDS
from .moving import Withheld, function_words, moves_of
from .plans import NotOffered, Sort, Suggestion
from .reading import LATE, QUICK
from .weighing import Explained, Standing

DIRECTION_WORDS = {
    Direction.FIRMER: _("firmer"),
    Direction.SOFTER: _("softer"),
    Direction.MORE: _("more"),
    Direction.LESS: _("less"),
}


def offers(case: Case, row: Explained, end: End) -> Iterator[Suggestion | NotOffered]:
    """Every change one finding asks for on ``end``, in its own order; or why not.

    A remedy that is no adjuster comes first and alone: one change at a time.
    """
    if any(w.suspect.word_first and w.standing != Standing.CONTRADICTED for w in row.suspects):
        return  # first a word to the rider
    remedies = [remedy for remedy in _remedies(row, end) if not _overruled(case, remedy)]
    if remedies:
        yield remedies[0]
        return
    for step in row.finding.steps:
        if _step_end(row, step) == end and _wanted(case, row, step):
            yield _offer(case, row, step, end)


def change_words(end: End, function: AdjusterFunction, direction: Direction) -> str:
    """A change in the fewest words: "Front rebound softer"."""
    return _(
        "{end} {function} {way}",
        end=END_WORDS[end],
        function=function_words(function),
        way=DIRECTION_WORDS[direction],
    )


def _step_end(row: Explained, step: Step) -> End | None:
    return step.end or row.finding.end_of(row.logged.end)


def _remedies(row: Explained, end: End) -> Iterator[Suggestion]:
    for weighed in row.suspects:
        suspect = weighed.suspect
        here = row.finding.end_of(row.logged.end) in (end, None)
        if suspect.do and weighed.standing == Standing.SUPPORTED and here:
            yield Suggestion(
                sort=Sort.REMEDY,
                end=end,
                text=suspect.do,
                because=(suspect.text, *weighed.because),
                expected=row.finding.next,
                worse=row.finding.worse,
                cautions=cautions_of(None),
                finding=row.finding,
                suspect=suspect.order,
            )


def _wanted(case: Case, row: Explained, step: Step) -> bool:
    """Whether today's facts ask for this step at all."""
    end = row.finding.end_of(row.logged.end)
    if row.weighed(step.suspect).standing != Standing.SUPPORTED:
        return False
    if step.when and not step.when.holds(case.facts, end):
        return False
    if any(condition.holds(case.facts, end) for condition in step.unless):
        return False
    if any(row.weighed(order).standing != Standing.CONTRADICTED for order in step.after):
        return False
    return all(
        not any(adjuster.open_to_change for adjuster in case.bike.of(*place))
        for place in step.instead_of
    )


def _offer(case: Case, row: Explained, step: Step, end: End) -> Suggestion | NotOffered:
    why = _barred(case, row, step, end)
    moves = Withheld(why) if why else moves_of(step, end, case.bike)
    if isinstance(moves, Withheld):
        return NotOffered(row.finding.code, end, step.function, step.direction, moves.why)
    weighed, finding = row.weighed(step.suspect), row.finding
    return Suggestion(
        sort=Sort.CHANGE,
        end=end,
        text=change_words(end, step.function, step.direction),
        function=step.function,
        direction=step.direction,
        moves=moves,
        because=(weighed.suspect.text, *weighed.because),
        expected=finding.next,
        signs=step.expect,
        worse=finding.worse,
        cautions=cautions_of(step.function),
        finding=finding,
        suspect=step.suspect,
    )


def _barred(case: Case, row: Explained, step: Step, end: End) -> str:
    """Why a wanted step is not offered: overruled, tried, or rebound without a hot push."""
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
        wanted = LATE if step.direction == Direction.SOFTER else QUICK
        if case.hot_push_state(end) not in wanted:
            return case.facts.find_out("push", end)
    return ""


def _overruled(case: Case, remedy: Suggestion) -> bool:
    return remedy.name in case.past.overruled
