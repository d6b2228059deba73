"""The result of the reasoning: explained findings, and one plan per end."""

from dataclasses import dataclass
from enum import StrEnum

from ..terms import AdjusterFunction, End
from .adjuster_moves import AdjusterMove
from .assessing import ExplainedFinding
from .catalogue import CatalogueFinding, ChangeDirection, Sign
from .reasoning_input import SuggestionKey


class SuggestionKind(StrEnum):
    CHANGE = "change"  # an adjuster moved
    REMEDY = "remedy"  # something done that is no adjuster: warmers, a tyre, an axle
    WAY_BACK = "way_back"  # the last change undone, because its effect was not seen
    AS_ARRIVED = "as_arrived"  # rebound that was set on cold oil, back to as arrived


@dataclass(frozen=True)
class Suggestion:
    """One thing to do on one end, with everything a person needs to decide.

    ``because``: the readings it is based on. ``expected``: what should be seen next time;
    ``signs``: the quantities to read again. ``worse``: what would make it worse. ``preferred``:
    before which equal suggestion it stands, and why.
    """

    sort: SuggestionKind
    end: End
    text: str
    function: AdjusterFunction | None = None
    direction: ChangeDirection | None = None
    moves: tuple[AdjusterMove, ...] = ()
    because: tuple[str, ...] = ()
    expected: str = ""
    signs: tuple[Sign, ...] = ()
    worse: str = ""
    cautions: tuple[str, ...] = ()
    finding: CatalogueFinding | None = None
    suspect: int = 0
    also_points_here: tuple[str, ...] = ()
    preferred: str = ""

    @property
    def name(self) -> SuggestionKey:
        code = self.finding.code if self.finding else ""
        return code, self.end, self.function, self.direction


@dataclass(frozen=True)
class NotOffered:
    """A change that a finding asks for on this end, and why it is not offered now."""

    finding: str
    end: End
    function: AdjusterFunction
    direction: ChangeDirection
    why: str


@dataclass(frozen=True)
class EndPlan:
    """One end: the suggestion if there is one, and what is not offered.

    ``wait``: why no new change is offered yet. ``recheck``: the push test to repeat, hot.
    ``then``: what to look at after the next outings, in order.
    """

    end: End
    suggestion: Suggestion | None = None
    wait: str = ""
    recheck: str = ""
    not_offered: tuple[NotOffered, ...] = ()
    then: tuple[str, ...] = ()


@dataclass(frozen=True)
class BikeAdvice:
    findings: tuple[ExplainedFinding, ...] = ()
    ends: tuple[EndPlan, ...] = ()

    def at(self, end: End) -> EndPlan:
        return next(plan for plan in self.ends if plan.end == end)

    @property
    def for_the_rider(self) -> tuple[str, ...]:
        """Words for the rider, where riding technique is the supported cause. Never a change."""
        said = (w.say for explained in self.findings for w in explained.suspects if w.say)
        return tuple(dict.fromkeys(said))
