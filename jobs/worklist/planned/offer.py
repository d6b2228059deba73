"""A better plan on offer: kept beside the plan in force until it is taken or the day moves on.

``{"id", "plan": columns of a DayPlan, "saves", "loses": task ids, "moves": tasks at another
time or with other people, "until": the minute at which the first of them would begin,
"gap": the part of its cost it could at most still be bettered by; null without a proof}``

No offer leaves out an arrival check that the plan in force makes, unless fewer are left out.
"""

from collections.abc import Mapping
from typing import Any

from jobs import planning

from ..models import DayPlan
from .problem import Problem
from .stored import as_stored

OF_THE_PLAN = ("slots", "missed", "first_missed", "cost", "seed", "iterations", "stopped_by")


def as_offer(
    problem: Problem, stored: DayPlan, rest: planning.BoundedPlan
) -> dict[str, Any] | None:
    """None: it is no better than the plan in force, or takes another bike's arrival check."""
    if rest.plan.rank >= stored.rank:
        return None
    columns = as_stored(problem, rest.plan)
    was, now = stored.slots, columns["slots"]
    checks = {str(task.id) for task in problem.day.tasks if task.first}
    if rest.plan.first_missed == stored.first_missed and checks & was.keys() - now.keys():
        return None
    known = {str(task.id) for task in problem.day.tasks}
    changed = [t for t in known & {*was, *now} if was.get(t) != now.get(t)]
    begins = [slots[t][0] for t in changed for slots in (was, now) if t in slots]
    return {
        "id": f"{stored.input_hash[:16]}-{rest.plan.cost}",
        "plan": {name: columns[name] for name in OF_THE_PLAN},
        "saves": sorted(now.keys() - was.keys()),
        "loses": sorted(known & (was.keys() - now.keys())),
        "moves": sum(1 for t in known & was.keys() & now.keys() if _moved(was[t], now[t])),
        "until": min(begins, default=problem.now),
        "gap": rest.gap,
    }


def _moved(was: list[Any], now: list[Any]) -> bool:
    return abs(was[0] - now[0]) > planning.MOVE_TOLERANCE_MIN or set(was[1]) != set(now[1])


def is_open(offer: Mapping[str, Any], minute: int) -> bool:
    """Whether nothing that it would move has begun by then."""
    return bool(minute <= offer["until"])
