"""From the timetable of the search to a plan with reasons."""

from .json_format import input_hash
from .model import LateTask, MissedTask, Plan, PlanningDay, StoppedBy
from .reasons import missed_tasks, reason_for
from .timetable import CrewTimetable


def plan_from_timetable(
    day: PlanningDay,
    table: CrewTimetable,
    *,
    seed: int,
    iterations: int,
    stopped_by: StoppedBy,
    reasons: int | None = None,
) -> Plan:
    """The plan with a reason for each task that is missed or late.

    ``first`` tasks stand first, then the most costly.

    ``reasons``: how many missed tasks get a reason; None: all.
    """
    problem = table.problem
    first_missed, cost = problem.rank(table.cost)
    missed = sorted(missed_tasks(table), key=lambda t: (-problem.miss_cost[t], t))
    late = sorted(
        (t for t, cost in enumerate(table.late_cost) if table.start[t] >= 0 and cost > 0),
        key=lambda t: (-table.late_cost[t], t),
    )
    return Plan(
        assignments=tuple(table.assignments()),
        missed=tuple(
            MissedTask(problem.tasks[t].id, reason_for(table, t))
            if reasons is None or place < reasons
            else MissedTask(problem.tasks[t].id)
            for place, t in enumerate(missed)
        ),
        late=tuple(
            LateTask(
                problem.tasks[t].id,
                table.start[t] - problem.late_from[t],
                reason_for(table, t),
            )
            for t in late
        ),
        cost=cost,
        seed=seed,
        iterations=iterations,
        stopped_by=stopped_by,
        input_hash=input_hash(day),
        first_missed=first_missed,
    )
