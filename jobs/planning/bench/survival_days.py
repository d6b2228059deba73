"""What the tables of simulated days share: the days, and the word whether a bar is met."""

from dataclasses import replace

from ..model import PlanningDay
from .simulated_world import SAFETY

BAR_AT = 0.4  # the variation of minutes at which the bars are


def safety_first(day: PlanningDay, first: bool = True) -> PlanningDay:
    tasks = (replace(task, first=first and task.kind == SAFETY) for task in day.tasks)
    return replace(day, tasks=tuple(tasks))


def verdict(variation: float, met: bool, bar: str) -> str:
    """Whether a bar is met; at other variations nothing is asked."""
    if variation != BAR_AT:
        return ""
    return f" (bar: {bar}) {'met' if met else 'NOT MET'}"
