"""From the search's timetable to the plan handed out."""

from .forms import input_hash
from .model import Day, Late, Missed, Plan, StoppedBy
from .reasons import open_tasks, reason_for
from .timetable import Timetable


def answer(
    day: Day,
    table: Timetable,
    *,
    seed: int,
    iterations: int,
    stopped_by: StoppedBy,
    reasons: int | None = None,
) -> Plan:
    """The plan with a reason for everything missed or late, most costly first.

    ``reasons``: for so many missed tasks only; the others' are left empty.
    """
    problem = table.problem
    missed = sorted(open_tasks(table), key=lambda t: (-problem.miss[t], t))
    late = sorted(
        (t for t, cost in enumerate(table.late) if table.start[t] >= 0 and cost > 0),
        key=lambda t: (-table.late[t], t),
    )
    return Plan(
        assignments=tuple(table.assignments()),
        missed=tuple(
            Missed(problem.tasks[t].id, reason_for(table, t))
            if reasons is None or place < reasons
            else Missed(problem.tasks[t].id)
            for place, t in enumerate(missed)
        ),
        late=tuple(
            Late(
                problem.tasks[t].id,
                table.start[t] - problem.late_from[t],
                reason_for(table, t),
            )
            for t in late
        ),
        cost=table.cost,
        seed=seed,
        iterations=iterations,
        stopped_by=stopped_by,
        input_hash=input_hash(day),
    )
