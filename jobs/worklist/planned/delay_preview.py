"""What a delay would cost, before anybody taps it."""

import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.trackday.models import Delay

from ..day import Day
from ..derive import Task
from ..models import DayPlan
from ..selectors import day_read
from ..selectors.statements import statements_of
from ..services.plans import SearchBudget, quick_plan
from .chances import ChanceChange, chance_changes
from .problem import day_problem

MOST_NAMED = 4


@dataclass(frozen=True)
class DelayCost:
    """What the day with a delay would lose and save against the plan in force."""

    minutes: int
    lost: list[Task]
    saved: list[Task]
    chances: list[ChanceChange]

    @property
    def falling(self) -> list[ChanceChange]:
        """The bikes whose follow-up becomes less likely, the largest fall first."""
        return [one for one in self.chances if one.falls][:MOST_NAMED]

    @property
    def rising(self) -> list[ChanceChange]:
        """The bikes whose follow-up becomes more likely, the largest rise first."""
        return [one for one in reversed(self.chances) if not one.falls][:MOST_NAMED]

    @property
    def more_missed(self) -> list[tuple[str, int]]:
        """By task, how many more would be missed: what one bike loses another may gain."""
        return [(text, n) for text, n in self._net() if n > 0]

    @property
    def more_missed_count(self) -> int:
        return sum(n for _text, n in self.more_missed)

    @property
    def fewer_missed(self) -> list[tuple[str, int]]:
        return [(text, -n) for text, n in self._net() if n < 0]

    def _net(self) -> list[tuple[str, int]]:
        net = Counter(task.item.text for task in self.lost)
        net.subtract(task.item.text for task in self.saved)
        cost = {task.item.text: task.item.miss_cost for task in (*self.lost, *self.saved)}
        return sorted(net.items(), key=lambda one: (-cost[one[0]] * abs(one[1]), one[0]))


def delay_cost(
    day: Day, stored: DayPlan, minutes: int, budget: SearchBudget | None = None
) -> DelayCost | None:
    """Plan the day as it would be. None: no session is left to move. Nothing is written.

    ``budget``: what the page has left to search for, if it has planned before.
    """
    first = day.expected.next_planned
    if first is None:
        return None
    supposed = Delay(trackday=day.trackday, minutes=minutes, from_planned=first, at=day.at)
    problem = day_problem(day_read(day.trackday, day.at, supposing=[supposed]))
    made = quick_plan(problem, stored, budget or SearchBudget())
    done = {uuid.UUID(str(a.task)) for a in made.assignments}
    was_done = {uuid.UUID(task) for task in stored.slots}
    now = [task for bike in day.bikes for task in bike.tasks if not task.marks]
    return DelayCost(
        minutes=minutes,
        lost=_dearest(t for t in now if t.id in was_done and t.id not in done),
        saved=_dearest(t for t in now if t.id in done and t.id not in was_done),
        chances=chance_changes(
            day_problem(day),
            stored.slots,
            problem,
            made.assignments,
            statements_of(day.trackday),
        ),
    )


def _dearest(tasks: Iterable[Task]) -> list[Task]:
    return sorted(tasks, key=lambda task: (-task.item.miss_cost, str(task.id)))
