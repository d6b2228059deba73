"""A plan in the columns of a DayPlan, and whether it still fits the day."""

import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from jobs import planning
from jobs.planning import Assignment, CrewMember, Plan, StoppedBy
from jobs.planning.model import Window

from ..models import DayPlan
from .gaps import Gap, next_gaps
from .problem import PERSON, Problem, WorkToPlan, id_text

SLOT_TOLERANCE_MIN = 5  # minutes a task may begin beside its slot before the plan is stale
MOST_REASONS_KEPT = 60  # reasons kept, the most costly first


@dataclass(frozen=True)
class Slot:
    """Where a plan has a task: elapsed minutes since local midnight, users' ids."""

    start: int
    people: tuple[int, ...]


class Slots(Mapping[uuid.UUID, Slot]):
    """The slots of a plan by task; a page asks for few of them, so each is read when asked."""

    def __init__(self, stored: Mapping[str, Any]) -> None:
        self._stored = stored

    def __getitem__(self, task_id: uuid.UUID) -> Slot:
        start, people = self._stored[id_text(task_id)]
        return Slot(start, tuple(people))

    def __iter__(self) -> Iterator[uuid.UUID]:
        return map(uuid.UUID, self._stored)

    def __len__(self) -> int:
        return len(self._stored)


def slots_of(plan: DayPlan | None) -> Slots:
    return Slots({} if plan is None else plan.slots)


def as_stored(problem: Problem, plan: Plan) -> dict[str, Any]:
    """The columns of a DayPlan."""
    return {
        "slots": {str(a.task): [a.start, list(a.crew)] for a in plan.assignments},
        "windows": {str(t.id): [list(w) for w in t.windows] for t in problem.day.tasks},
        "given": given_form(
            {str(t.id): t.skill for t in problem.day.tasks}, problem.locked, problem.now
        ),
        "crew": crew_form(problem.day.crew),
        "missed": _missed(problem, plan),
        "first_missed": plan.first_missed,
        "cost": plan.cost,
        "seed": plan.seed,
        "iterations": plan.iterations,
        "stopped_by": str(plan.stopped_by),
        "input_hash": plan.input_hash,
    }


def crew_form(crew: Iterable[CrewMember]) -> list[list[Any]]:
    return [[one.id, sorted(one.skills), [list(w) for w in one.off]] for one in crew]


def given_form(skills: Mapping[str, str], locked: Iterable[Assignment], now: int) -> dict[str, Any]:
    """What people have decided: tasks only one person is asked for, and pinned slots."""
    people = {task: skill for task, skill in skills.items() if skill.startswith(PERSON)}
    return {"people": people, "pinned": {str(a.task): a.start for a in locked if a.start >= now}}


def _missed(problem: Problem, plan: Plan) -> list[dict[str, Any]]:
    kept = plan.missed[:MOST_REASONS_KEPT]
    gaps = next_gaps(problem, plan, [entry.task for entry in kept])
    return [_reason_form(problem, entry, gaps.get(entry.task)) for entry in kept]


def _reason_form(problem: Problem, entry: planning.MissedTask, gap: Gap | None) -> dict[str, Any]:
    text, values = planning.reason_message(problem.day, entry)
    task = problem.tasks[uuid.UUID(str(entry.task))]
    return {
        "task": str(entry.task),
        "text": text,
        "values": {**values, "busy": list(values["busy"])},
        "took_place": [str(each) for each in entry.reason.done_instead],
        "cost": task.item.miss_cost,
        "gap": None if gap is None else [gap.session_id, gap.start],
    }


def before(plan: DayPlan, problem: Problem) -> tuple[planning.PlanningDay, Plan]:
    """The plan as the planner knows it, with the windows its day had then.

    What its slots say has begun, but nobody started, is not carried on: it has slipped.
    """
    was = {
        task.id: _with_windows(task, plan.windows.get(str(task.id))) for task in problem.day.tasks
    }
    assignments = tuple(
        Assignment(task, start, tuple(people))
        for task, (start, people) in plan.slots.items()
        if task in was and start >= problem.now
    )
    kept = Plan(
        assignments=assignments,
        missed=(),
        late=(),
        cost=plan.cost,
        seed=plan.seed,
        iterations=plan.iterations,
        stopped_by=StoppedBy(plan.stopped_by),
        input_hash=plan.input_hash,
        first_missed=plan.first_missed,
    )
    return planning.PlanningDay(problem.day.crew, tuple(was.values())), kept


def _with_windows(
    task: planning.PlanningTask, windows: list[Window] | None
) -> planning.PlanningTask:
    if windows is None:
        return task
    fields = {name: getattr(task, name) for name in planning.PlanningTask.__slots__}
    return planning.PlanningTask(**{**fields, "windows": tuple((a, b) for a, b in windows)})


def is_stale(plan: DayPlan, work: WorkToPlan) -> bool:
    """Whether crew, windows or tasks have changed since; a tick in its slot changes nothing."""
    skills = {task: one.skill for task, one in work.to_do.items()}
    if plan.crew != crew_form(work.crew) or plan.given != given_form(skills, work.locked, work.now):
        return True
    windows = plan.windows
    if any(windows.get(task) != [list(w) for w in one.windows] for task, one in work.to_do.items()):
        return True
    begun = {str(a.task): a for a in work.locked if a.start < work.now}
    return any(
        _off_its_slot(begun[task], start, people)
        if task in begun
        else (
            start + SLOT_TOLERANCE_MIN < work.now
            if task in work.to_do
            else start > work.now + SLOT_TOLERANCE_MIN
        )
        for task, (start, people) in plan.slots.items()
    )


def _off_its_slot(begun: Assignment, start: int, people: list[int]) -> bool:
    return abs(begun.start - start) > SLOT_TOLERANCE_MIN or begun.crew[0] not in people
