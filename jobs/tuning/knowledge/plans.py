"""What the reasoning answers: findings explained, and one plan per end."""

from dataclasses import dataclass
from enum import StrEnum

from ..terms import AdjusterFunction, End
from .bike import Name
from .catalogue import Direction, Finding, Sign
from .moving import Move
from .weighing import Explained


class Sort(StrEnum):
    CHANGE = "change"  # an adjuster moved
    REMEDY = "remedy"  # something done that is no adjuster: warmers, a tyre, an axle
    WAY_BACK = "way_back"  # the last change put back: it was not seen
    AS_ARRIVED = "as_arrived"  # rebound set on cold oil, put back to as arrived


@dataclass(frozen=True)
class Suggestion:
    """One thing to do on one end, with everything a person needs to agree or not.

    ``because``: the readings it rests on; ``expected``: what should be seen next time, with
    ``signs`` for what can be read again; ``worse``: what would make it worse.
    """

    sort: Sort
    end: End
    text: str
    function: AdjusterFunction | None = None
    direction: Direction | None = None
    moves: tuple[Move, ...] = ()
    because: tuple[str, ...] = ()
    expected: str = ""
    signs: tuple[Sign, ...] = ()
    worse: str = ""
    cautions: tuple[str, ...] = ()
    finding: Finding | None = None
    suspect: int = 0
    also_points_here: tuple[str, ...] = ()

    @property
    def name(self) -> Name:
        code = self.finding.code if self.finding else ""
        return code, self.end, self.function, self.direction


@dataclass(frozen=True)
class NotOffered:
    """What a finding would ask for on this end, and why it is not offered now."""

    finding: str
    end: End
    function: AdjusterFunction
    direction: Direction
    why: str


@dataclass(frozen=True)
class EndPlan:
    """One end: the suggestion if there is one, what bars others, what is open after it.

    ``wait``: why nothing new is offered yet. ``recheck``: the push test to make again, hot.
    ``then``: what the next outings will tell, in order.
    """

    end: End
    suggestion: Suggestion | None = None
    wait: str = ""
    recheck: str = ""
    not_offered: tuple[NotOffered, ...] = ()
    then: tuple[str, ...] = ()


@dataclass(frozen=True)
class Counsel:
    findings: tuple[Explained, ...] = ()
    ends: tuple[EndPlan, ...] = ()

    def at(self, end: End) -> EndPlan:
        return next(plan for plan in self.ends if plan.end == end)

    @property
    def for_the_rider(self) -> tuple[str, ...]:
        """Words, never a change: what a supported technique asks of the rider."""
        said = (w.say for explained in self.findings for w in explained.suspects if w.say)
        return tuple(dict.fromkeys(said))
