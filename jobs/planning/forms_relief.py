"""The JSON forms of what would help.

relief.json   {"helper": {"from", "to", "saves": [ids], "gain"} or null,
              "moved": {"tasks": [{"task", "start"}], "saves": [ids], "gain"} or null}
staffing.json {"tried": [{"helpers", "missed": [ids], "cost"}], "shifts": [[from, to]],
              "missed": [ids]}
"""

from typing import Any

from .forms import windows
from .model import Day, Id, ProblemError, Window
from .relief import Moving, WhatIf
from .staffing import Staffing


def helper_to_json(there: Window, what: WhatIf) -> dict[str, Any]:
    return {"from": there[0], "to": there[1], **_what(what)}


def moving_to_json(moving: Moving) -> dict[str, Any]:
    return {
        "tasks": [{"task": task, "start": start} for task, start in moving.starts],
        **_what(moving.what),
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


def windows_from_json(data: Any, day: Day) -> dict[Id, tuple[Window, ...]]:
    """Other windows of some tasks of a day. Raises ProblemError naming the task at fault."""
    if not isinstance(data, dict):
        raise ProblemError("elsewhere: not an object of tasks and their windows")
    known = {str(task.id): task.id for task in day.tasks}
    unknown = next((task for task in data if task not in known), None)
    if unknown is not None:
        raise ProblemError(f"task {unknown}: not in the problem")
    return {known[task]: windows(each, f"task {task}: windows") for task, each in data.items()}


def _what(what: WhatIf) -> dict[str, Any]:
    return {"saves": list(what.saved), "gain": what.gain}
