"""What is said of a day is kept, and compared with what came of it when a later day begins."""

from collections.abc import Sequence
from typing import Any

from jobs import planning
from jobs.planning import DayCost, Experience, Statement
from jobs.trackday import clock
from jobs.trackday.models import Trackday
from jobs.trackday.services import revision_bump

from ..enums import TaskState
from ..models import DayPlan, DayStatements
from ..planned.chances import SaidOfDay, as_kept
from ..planned.problem import Problem, id_text
from ..selectors import day_read
from .plans import same_plan

MOST_SAID = 1 + len(planning.LEADS)  # of one follow-up: one in each band of leads
LEAST_DONE = 10  # on a day with fewer, nobody ticked what they did: it teaches nothing
JUDGED = frozenset({TaskState.DONE, TaskState.MISSED})


def chances_keep(*, stored: DayPlan, problem: Problem, said: SaidOfDay) -> bool:
    """Keep what replays say, if the plan is still the one they replayed. False: dropped."""
    same = same_plan(stored).filter(first_missed=stored.first_missed, cost=stored.cost)
    statements, _created = DayStatements.objects.get_or_create(trackday_id=stored.trackday_id)
    known = Experience.from_json(statements.learned)
    if not same.update(chances=as_kept(said, stored, known)):
        return False
    for task, statement in said.tasks.items():
        _remember(statements, task, statement)
    if len(problem.day.tasks) > len(statements.cost.get("tasks", ())):
        statements.cost = {
            "planned": stored.cost,
            "replayed": said.made.mean_cost,
            "tasks": {str(task.id): task.miss_cost for task in problem.day.tasks},
        }
    statements.save(update_fields=["follow_ups", "cost"])
    revision_bump(trackday_id=stored.trackday_id)
    return True


def _remember(statements: DayStatements, task: str, said: Statement) -> None:
    """The first statement in each band of leads; later ones in it say the same again."""
    kept = [Statement(*each) for each in statements.follow_ups.get(task, ())]
    if len(kept) < MOST_SAID and all(each.band.lead != said.band.lead for each in kept):
        statements.follow_ups[task] = [list(each) for each in (*kept, said)]


def experience_learn(*, before: Trackday, earlier: Sequence[int], spread: float) -> None:
    """Keep with a day what came of the statements of the days before it."""
    outcomes: list[tuple[Statement, bool]] = []
    costs: list[DayCost] = []
    of_days = DayStatements.objects.filter(trackday__in=earlier).select_related("trackday__venue")
    for day in of_days:
        if not day.came:
            day.came = _came(day)
            day.save(update_fields=["came"])
        done = day.came["follow_ups"]
        outcomes += [
            (Statement(*each), done[task])
            for task, said in day.follow_ups.items()
            if task in done
            for each in said
        ]
        if day.came["cost"] is not None:
            costs.append(DayCost(day.cost["planned"], day.cost["replayed"], day.came["cost"]))
    learned = planning.experience(outcomes, costs)
    DayStatements.objects.update_or_create(
        trackday=before, defaults={"learned": learned.to_json(), "spread": spread}
    )


def _came(day: DayStatements) -> dict[str, Any]:
    """What came of a day that is over; nothing is said of work that fell away."""
    _start, end = clock.bounds(day.trackday)
    read = day_read(day.trackday, end)
    states = {id_text(task.id): task.state for bike in read.bikes for task in bike.tasks}
    if sum(state == TaskState.DONE for state in states.values()) < LEAST_DONE:
        return {"follow_ups": {}, "cost": None}
    over = {
        task: states[task] == TaskState.DONE
        for task in day.follow_ups
        if states.get(task) in JUDGED
    }
    cost = sum(
        cost
        for task, cost in day.cost.get("tasks", {}).items()
        if states.get(task) == TaskState.MISSED
    )
    return {"follow_ups": over, "cost": cost if day.cost else None}
