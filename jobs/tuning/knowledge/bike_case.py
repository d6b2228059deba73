"""One bike with everything that the reasoning looks at."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..outlook import Visibility
from ..terms import End
from .adjuster_moves import AdjusterMove
from .assessing import ExplainedFinding, explain
from .facts import KnownFacts
from .limits import Limits
from .readings_to_facts import counts_as_hot, facts_from_readings, push_state
from .reasoning_input import (
    BikeSetup,
    EarlierToday,
    LoggedFinding,
    Observations,
    PushTest,
    TriedChange,
)

# Whether the ring will show moves; None: it is not told.
Shows = Callable[[Sequence[AdjusterMove]], Visibility | None]


@dataclass(frozen=True)
class BikeCase:
    bike: BikeSetup
    observed: Observations
    past: EarlierToday
    limits: Limits
    facts: KnownFacts
    explained: tuple[ExplainedFinding, ...]
    shows: Shows | None = None

    def tried_on(self, end: End) -> tuple[TriedChange, ...]:
        return tuple(tried for tried in self.past.tried if tried.end == end)

    def last_push(self, end: End) -> PushTest | None:
        pushes = [push for push in self.observed.pushes if push.end == end]
        return pushes[-1] if pushes else None

    def hot_push(self, end: End) -> PushTest | None:
        """The last push test of an end that was hot and of this turnaround.

        It stays valid after a later, cooler one: the change may be made later.
        """
        pushes = [p for p in self.observed.pushes if p.end == end and counts_as_hot(p)]
        return pushes[-1] if pushes else None

    def hot_push_state(self, end: End) -> str:
        push = self.hot_push(end)
        return push_state(push, self.limits) if push else ""


def case_of(
    bike: BikeSetup,
    observed: Observations,
    logged: Sequence[LoggedFinding],
    past: EarlierToday,
    limits: Limits,
    shows: Shows | None = None,
) -> BikeCase:
    also = frozenset(row.finding.code for row in logged)
    facts = facts_from_readings(bike, observed, also, limits)
    explained = tuple(explain(row, facts, observed.answers) for row in logged)
    return BikeCase(bike, observed, past, limits, facts, explained, shows)
