"""One bike's case on the bench: everything the reasoning looks at together."""

from collections.abc import Sequence
from dataclasses import dataclass

from ..terms import End
from .bike import Bike, Logged, Observed, Past, PushTest, Tried
from .facts import Facts
from .limits import Limits
from .observing import counts_as_hot, facts_of, push_state
from .weighing import Explained, explain


@dataclass(frozen=True)
class Case:
    bike: Bike
    observed: Observed
    past: Past
    limits: Limits
    facts: Facts
    explained: tuple[Explained, ...]

    def tried_on(self, end: End) -> tuple[Tried, ...]:
        return tuple(tried for tried in self.past.tried if tried.end == end)

    def last_push(self, end: End) -> PushTest | None:
        pushes = [push for push in self.observed.pushes if push.end == end]
        return pushes[-1] if pushes else None

    def hot_push(self, end: End) -> PushTest | None:
        """The last push test of an end that was hot and of this turnaround.

        A cooler one after it takes nothing away: the change may follow later, at rest.
        """
        pushes = [p for p in self.observed.pushes if p.end == end and counts_as_hot(p)]
        return pushes[-1] if pushes else None

    def hot_push_state(self, end: End) -> str:
        push = self.hot_push(end)
        return push_state(push, self.limits) if push else ""


def case_of(
    bike: Bike, observed: Observed, logged: Sequence[Logged], past: Past, limits: Limits
) -> Case:
    also = frozenset(row.finding.code for row in logged)
    facts = facts_of(bike, observed, also, limits)
    explained = tuple(explain(row, facts, observed.answers) for row in logged)
    return Case(bike, observed, past, limits, facts, explained)
