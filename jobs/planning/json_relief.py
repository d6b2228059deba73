"""The JSON format of relief and staffing.

relief.json   {"helper": {"from", "to", "saves": [ids], "gain"} or null,
              "moved": {"tasks": [{"task", "start"}], "saves": [ids], "gain"} or null}
staffing.json {"tried": [{"helpers", "missed": [ids], "cost"}], "shifts": [[from, to]],
              "missed": [ids]}
"""

from typing import Any

from .json_format import windows
from .model import Id, PlanningDay, ProblemError, Window
from .relief import ChangeEffect, MovedTasks
from .staffing import Staffing


def helper_to_json(hours: Window, effect: ChangeEffect) -> dict[str, Any]:
    return {"from": hours[0], "to": hours[1], **_effect(effect)}


def moved_to_json(moved: MovedTasks) -> dict[str, Any]:
    return {
        "tasks": [{"task": task, "start": start} for task, start in moved.starts],
        **_effect(moved.effect),
    }


def staffing_to_json(found: Staffing) -> dict[str, Any]:
    return {
        "tried": [
            {"helpers": each.helpers, "missed": list(each.missed), "cost": each.cost}
            for each in found.tried
        ],
        "shifts": [list(shift) for shift in found.shifts],
        "missed": list(found.missed),
    }


def windows_from_json(data: Any, day: PlanningDay) -> dict[Id, tuple[Window, ...]]:
    """Other windows of some tasks of a day. Raises ProblemError naming the task at fault."""
    if not isinstance(data, dict):
        raise ProblemError("elsewhere: not an object of tasks and their windows")
    known = {str(task.id): task.id for task in day.tasks}
    unknown = next((task for task in data if task not in known), None)
    if unknown is not None:
        raise ProblemError(f"task {unknown}: not in the problem")
    return {known[task]: windows(each, f"task {task}: windows") for task, each in data.items()}


def _effect(effect: ChangeEffect) -> dict[str, Any]:
    return {"saves": list(effect.saved), "gain": effect.gain}
