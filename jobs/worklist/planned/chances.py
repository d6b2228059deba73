"""How likely each bike's follow-up is to be done before it rolls, and the cost to expect.

``DayPlan.chances``: ``{"bikes": {entry: chance}, "cost": [expected, low, high]}``; while those of
a new plan are counted, ``{"before": {entry: chance}}`` of the plan before it. The plan in force is
replayed while minutes scatter (``jobs.planning.replays``), and what replays say is put right by
what came of earlier days (``DayStatements``). Of safety work no chance is stated, but the minutes
to spare: it is so seldom missed that a chance would not tell bikes apart.
"""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from jobs import planning
from jobs.planning import Assignment, Experience, Replays, Statement
from jobs.planning.json_replays import assignments_to_json
from jobs.planning.model import Id
from jobs.trackday import clock

from ..bikes import BikeDay
from ..day import Day
from ..derive import Task
from ..enums import Cadence, TaskState
from ..models import DayPlan, DayStatements
from .minutes import minute_to
from .planner_process import run
from .problem import Problem, id_text
from .stored import Slots

TO_DO = frozenset({TaskState.OPEN, TaskState.LATER, TaskState.STARTED})
PREVIEW_MINUTES, PREVIEW_REPLAYS = 90, 100  # as many as a page can wait for
BIKE = "bike "


@dataclass(frozen=True)
class SaidOfDay:
    """What replays say: of the follow-ups of each bike, of each follow-up, and of the cost."""

    bikes: Mapping[int, Statement]
    tasks: Mapping[str, Statement]
    made: Replays


@dataclass(frozen=True)
class ChanceChange:
    """A bike whose chance would be another, in percent."""

    bike: BikeDay
    before: int
    after: int

    @property
    def falls(self) -> bool:
        return self.after < self.before


def next_follow_ups(tasks: Iterable[Task]) -> list[Task]:
    """Of the tasks of one bike the follow-ups still to do before it rolls next."""
    found = [t for t in tasks if t.item.cadence == Cadence.FOLLOW_UP and t.state in TO_DO]
    closes = min((task.closes for task in found), default=None)
    return [task for task in found if task.closes == closes]


def said_of_day(problem: Problem, plan: DayPlan, spread: float) -> SaidOfDay:
    """Replay the plan in force from now on, in a process of its own."""
    slots = _assignments(problem, plan.slots)
    groups = {BIKE + str(entry): ids for entry, ids in _groups(problem).items()}
    groups |= {task: [task] for task in follow_ups_of(problem)}
    answer = run(
        "chances",
        given={
            "problem": planning.day_to_json(problem.day),
            "assignments": assignments_to_json(slots),
            "locked": assignments_to_json(problem.locked),
            "now": problem.now,
            "spread": spread,
            "need_only_begin": need_only_begin(problem),
            "groups": groups,
        },
    )
    planned = {str(a.task) for a in slots} | {str(a.task) for a in problem.locked}
    leads, alike = leads_of(problem), alike_of(problem, planned)

    def said(name: str, ids: list[str]) -> Statement:
        return Statement(
            answer["shares"][name],
            planned.issuperset(ids),
            lead=min(leads[task] for task in ids),
            alike=min(alike[task] for task in ids),
        )

    return SaidOfDay(
        bikes={entry: said(BIKE + str(entry), ids) for entry, ids in _groups(problem).items()},
        tasks={task: said(task, [task]) for task in follow_ups_of(problem)},
        made=Replays(len(answer["costs"]), {}, tuple(answer["costs"])),
    )


def as_kept(said: SaidOfDay, plan: DayPlan, known: Experience) -> dict[str, Any]:
    """The form of ``DayPlan.chances``."""
    return {
        "bikes": {str(entry): known.chance(each) for entry, each in said.bikes.items()},
        "cost": [round(each) for each in known.cost(plan.cost, said.made)],
    }


def chance_changes(
    now: Problem,
    slots: Mapping[str, Any],
    then: Problem,
    made: Iterable[Assignment],
    statements: DayStatements,
) -> list[ChanceChange]:
    """How the chances of the next follow-ups would change, the largest fall first.

    Both plans are replayed with the same minutes, for the next hour and a half.
    """
    known = Experience.from_json(statements.learned)
    before = _soon(now, _assignments(now, slots), statements.spread)
    after = _soon(then, made, statements.spread)
    found = [
        ChanceChange(
            then.bikes[entry],
            planning.percent(known.chance(before[entry])),
            planning.percent(known.chance(after[entry])),
        )
        for entry in before.keys() & after.keys()
    ]
    changed = [one for one in found if one.after != one.before]
    return sorted(changed, key=lambda one: (one.after - one.before, one.bike.entry.pk))


def until_counted(chances: dict[str, Any] | None) -> dict[str, Any] | None:
    """What is kept of the chances of a plan that is replaced: nothing of them is shown."""
    before = _bikes(chances)
    return {"before": before} if before else None


def chances_to_rank_by(plan: DayPlan | None) -> dict[int, int]:
    """By entry, in percent; of a new plan those of the one before, so that no order jumps."""
    bikes = {} if plan is None else _bikes(plan.chances)
    return {int(entry): planning.percent(chance) for entry, chance in bikes.items()}


def _bikes(chances: dict[str, Any] | None) -> dict[str, float]:
    chances = chances or {}
    found: dict[str, float] = chances.get("bikes") or chances.get("before") or {}
    return found


def chance_of(plan: DayPlan | None, bike: BikeDay) -> int | None:
    """In percent, how likely the bike's follow-up is done before it rolls; None: not known."""
    known = counted(plan)
    if known is None or not next_follow_ups(bike.tasks):
        return None
    chance = known["bikes"].get(str(bike.entry.pk))
    return None if chance is None else planning.percent(chance)


def counted(plan: DayPlan | None) -> dict[str, Any] | None:
    """The chances of the plan in force; None: they are still being counted."""
    chances: dict[str, Any] = (plan and plan.chances) or {}
    return chances if "bikes" in chances else None


def minutes_to_spare(day: Day, slots: Slots, task: Task) -> int | None:
    """Minutes between the planned end of a task and the end of its window."""
    slot = slots.get(task.id)
    if slot is None:
        return None
    ends = slot.start + (0 if task.item.must_start else task.item.planned_minutes)
    return max(0, minute_to(clock.midnight(day.trackday), task.closes) - ends)


def _soon(
    problem: Problem, assignments: Iterable[Assignment], spread: float
) -> dict[int, Statement]:
    last = problem.now + PREVIEW_MINUTES
    slots = {str(a.task): a for a in (*assignments, *problem.locked)}
    groups, leads, alike = _groups(problem), leads_of(problem), alike_of(problem, slots)
    kept = [t for t in problem.day.tasks if t.id in slots and slots[str(t.id)].start < last]
    ids = {task.id for task in kept}
    day = replace(
        problem.day,
        tasks=tuple(replace(t, requires=tuple(o for o in t.requires if o in ids)) for t in kept),
    )
    made = planning.replays(
        day,
        slots.values(),
        now=problem.now,
        spread=spread,
        locked=problem.locked,
        need_only_begin=frozenset(need_only_begin(problem)),
        number=PREVIEW_REPLAYS,
    )
    later = {t.id for t in problem.day.tasks if t.id not in ids and _begins(t, slots) >= last}
    return {
        entry: Statement(
            made.share(group),
            ids.issuperset(group),
            lead=min(leads[task] for task in group),
            alike=min(alike[task] for task in group),
        )
        for entry, group in groups.items()
        if later.isdisjoint(group)
    }


def _begins(task: planning.PlanningTask, slots: Mapping[str, Assignment]) -> int:
    """Where the plan has it; where it has not, when it could begin."""
    if str(task.id) in slots:
        return slots[str(task.id)].start
    return min((first for first, _last in task.windows), default=0)


def _assignments(problem: Problem, slots: Mapping[str, Any]) -> list[Assignment]:
    known = {str(task.id) for task in problem.day.tasks}
    return [
        Assignment(task, start, tuple(people))
        for task, (start, people) in slots.items()
        if task in known
    ]


def _groups(problem: Problem) -> dict[int, list[str]]:
    """By entry, the follow-ups before its next roll."""
    of_entry: dict[int, list[Task]] = {}
    for task in problem.tasks.values():
        of_entry.setdefault(task.entry.pk, []).append(task)
    found = {entry: next_follow_ups(tasks) for entry, tasks in of_entry.items()}
    return {entry: [id_text(t.id) for t in tasks] for entry, tasks in found.items() if tasks}


def follow_ups_of(problem: Problem) -> list[str]:
    return [
        id_text(task.id)
        for task in problem.tasks.values()
        if task.item.cadence == Cadence.FOLLOW_UP and task.state in TO_DO
    ]


def alike_of(problem: Problem, planned: Container[Id]) -> dict[Id, float]:
    """By follow-up, the share planned of those that cost as much to miss."""
    asked = set(follow_ups_of(problem))
    return planning.planned_of_alike((t for t in problem.day.tasks if t.id in asked), planned)


def leads_of(problem: Problem) -> dict[str, int]:
    """By task, the minutes until its window ends."""
    return {
        str(task.id): max(last for _first, last in task.windows) - problem.now
        for task in problem.day.tasks
        if task.windows
    }


def need_only_begin(problem: Problem) -> list[str]:
    return [id_text(task.id) for task in problem.tasks.values() if task.item.must_start]
