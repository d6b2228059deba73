"""The crew of a simulated day that follows the planner, as the product lets it."""

import math
from dataclasses import replace

from ..model import Assignment, Id, Plan, PlanningDay, PlanningTask, StoppedBy, Window
from ..planner import DEFAULT_ITERATIONS, QUICK_ITERATIONS, plan, replan
from ..spare_tasks import spare_tasks
from .simulated_world import ON_ARRIVAL
from .simulator import SimulatedDay, Slots, WorkState

LOST = (WorkState.MISSED, WorkState.VOID)
TO_DO = (WorkState.OPEN, WorkState.RUNNING)


class PlannedMorning:
    """The first plan of a day: the same for every crew, so it is made once."""

    def __init__(self) -> None:
        self._made: tuple[PlanningDay, Plan] | None = None

    def plan(self, day: SimulatedDay) -> tuple[PlanningDay, Plan]:
        if self._made is None:
            rest, _locked, now = rest_of_day(day)
            self._made = rest, plan(rest, now=now, iterations=DEFAULT_ITERATIONS, reasons=0)
        return self._made


class PlannedCrew:
    """Plans in the morning, again when the plan no longer fits.

    ``offers``: who has nothing to do takes what they are offered.
    """

    def __init__(self, *, offers: bool = False, morning: PlannedMorning | None = None) -> None:
        self.offers = offers
        self._morning = morning or PlannedMorning()
        self.stated_cost = 0  # of the morning's plan
        self._planned_for = PlanningDay((), ())
        self._asked_at: tuple[int, int] | None = None

    def first_plan(self, day: SimulatedDay) -> Slots:
        self._planned_for, made = self._morning.plan(day)
        self._asked_at, self.stated_cost = None, made.cost
        return _slots(made)

    def next_plan(self, day: SimulatedDay) -> Slots:
        rest, locked, now = rest_of_day(day)
        known = {task.id for task in rest.tasks}
        in_force = tuple(a for a in _assignments(day) if a.task in known and a.start >= now)
        previous = Plan(in_force, (), (), 0, 1, 0, StoppedBy.ITERATIONS, "")
        was = {task.id: task.windows for task in self._planned_for.tasks}
        before = [replace(t, windows=was.get(t.id, t.windows)) for t in rest.tasks]
        made = replan(
            rest,
            previous,
            previous_input=PlanningDay(rest.crew, tuple(before)),
            now=now,
            locked=locked,
            iterations=QUICK_ITERATIONS,
            reasons=0,
        )
        self._planned_for = rest
        held = {a.task for a in locked}
        return {task: slot for task, slot in _slots(made).items() if task not in held}

    def spare(self, day: SimulatedDay) -> dict[Id, Id]:
        """Asked once a minute, and again when somebody has taken something."""
        if not self.offers or self._asked_at == (int(day.now), day.taken):
            return {}
        self._asked_at = int(day.now), day.taken
        rest, locked, now = rest_of_day(day)
        found = spare_tasks(rest, _assignments(day), now=now, locked=locked)
        return {person: spare.task for person, spare in found.items()}


def rest_of_day(day: SimulatedDay) -> tuple[PlanningDay, tuple[Assignment, ...], int]:
    """What is still to do, in the planner's form; what is in work; the minute it is."""
    now = int(day.now)
    tasks, locked = {}, []
    for task_id, state in day.state.items():
        task = day.tasks[task_id]
        if state not in TO_DO or any(day.state[o] in LOST for o in task.requires):
            continue
        windows = _windows(day, task)
        if state is WorkState.RUNNING:
            begun = min(max(int(day.began[task_id]), now + 1 - task.minutes), now - 1)
            locked.append(Assignment(task_id, begun, day.done_by[task_id]))
        elif not windows:
            continue
        due = day.due[task_id]
        tasks[task_id] = replace(task, windows=windows or task.windows, due=due)
    _drop_what_cannot_be_done(day, tasks)
    rest = tuple(_with_known(task, tasks) for task in tasks.values())
    kept = tuple(a for a in locked if a.task in tasks)
    return PlanningDay(day.day.crew, rest), kept, now


def _windows(day: SimulatedDay, task: PlanningTask) -> tuple[Window, ...]:
    found = []
    for place, (first, last) in enumerate(day.windows[task.id]):
        if task.kind in ON_ARRIVAL and place == 0:
            first = max(first, day.comes.get(task.bike, first))
        window = math.ceil(first), int(last)
        if window[1] - window[0] >= task.minutes:
            found.append(window)
    return tuple(found)


def _drop_what_cannot_be_done(day: SimulatedDay, tasks: dict[Id, PlanningTask]) -> None:
    """What requires work that is neither done nor to be planned goes, and what requires that."""
    while gone := [
        task.id
        for task in tasks.values()
        if any(o not in tasks and day.state[o] is not WorkState.DONE for o in task.requires)
    ]:
        for task_id in gone:
            del tasks[task_id]


def _with_known(task: PlanningTask, known: dict[Id, PlanningTask]) -> PlanningTask:
    if all(other in known for other in (*task.after, *task.requires)):
        return task
    return replace(
        task,
        after=tuple(other for other in task.after if other in known),
        requires=tuple(other for other in task.requires if other in known),
    )


def _slots(made: Plan) -> Slots:
    return {a.task: (a.start, a.crew) for a in made.assignments}


def _assignments(day: SimulatedDay) -> list[Assignment]:
    return [Assignment(task, start, people) for task, (start, people) in day.slots.items()]
