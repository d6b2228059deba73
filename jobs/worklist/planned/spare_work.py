"""What is offered to somebody of the crew who has nothing open.

The planner's rule (``jobs.planning.spare_tasks``) chooses; here the day, its plan and the rounds
are put before it, and its answer is put into words. Nothing moves before the person takes it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from jobs import planning
from jobs.planning import Assignment, WhySpare

from ..day import Day
from ..models import DayPlan
from ..rounds import Round, RoundTask
from .problem import day_problem, id_text


@dataclass(frozen=True)
class SpareWork:
    """One task that somebody could take, and why it is offered."""

    step: RoundTask
    why: str


def spare_work(day: Day, plan: DayPlan | None, rounds: Iterable[Round]) -> dict[int, SpareWork]:
    """By the id of each person with nothing open, what they could take."""
    idle = [each for each in rounds if each.next is None and each.spare]
    if plan is None or not idle:
        return {}
    steps = {id_text(step.task.id): step for each in idle for step in each.spare}
    problem = day_problem(day)
    people = {each.person.pk for each in idle}
    crew = tuple(member for member in problem.day.crew if member.id in people)
    offered = planning.spare_tasks(
        replace(problem.day, crew=crew),
        [Assignment(task, start, tuple(who)) for task, (start, who) in plan.slots.items()],
        now=problem.now,
        locked=problem.locked,
        among=steps,
    )
    return {
        int(str(person)): SpareWork(steps[str(spare.task)], _why(day, plan, spare))
        for person, spare in offered.items()
    }


def _why(day: Day, plan: DayPlan, spare: planning.SpareTask) -> str:
    _start, people = plan.slots.get(str(spare.task), (0, ()))
    if not people:
        return _("nobody else will have time for it")
    names = {"names": _(" and ").join(_names(day, people))}
    if spare.why is WhySpare.LOST:
        return _("planned for %(names)s, who will come too late for it") % names
    return _("planned for %(names)s, and overdue") % names


def _names(day: Day, people: Sequence[int]) -> list[str]:
    return [member.user.display_name for member in day.crew if member.user.pk in people]
