"""The JSON format of replays.

asked.json    {"problem", "assignments": [{"task", "start", "crew"}], "locked": as these, "now",
              "spread", "need_only_begin": [ids], "groups": {name: [ids]}}
replays.json  {"shares": {name: share of the replays in which all of the group is done},
              "costs": [of each replay]}
booking.json  {"problem", "bike": the one that is asked for, "tasks": [ids of others], "spread",
              "need_only_begin": [ids]}; the answer: {task: [share, planned, then, planned then]}
"""

from collections.abc import Iterable
from dataclasses import astuple, replace
from typing import Any

from .booking import booking_shares
from .capacity import bike_like
from .json_format import day_from_json
from .model import Assignment, ProblemError
from .replays import replays

_ASKED = {"problem", "assignments", "locked", "now", "spread", "need_only_begin", "groups"}
_BOOKING = {"problem", "bike", "tasks", "spread", "need_only_begin"}


def replays_answer(asked: Any) -> dict[str, Any]:
    """Replay what is asked for. Raises ProblemError naming what is wrong."""
    if not isinstance(asked, dict) or set(asked) != _ASKED:
        raise ProblemError(f"replays: not an object of {', '.join(sorted(_ASKED))}")
    day = day_from_json(asked["problem"])
    try:
        made = replays(
            day,
            assignments_from_json(asked["assignments"]),
            now=int(asked["now"]),
            spread=float(asked["spread"]),
            locked=assignments_from_json(asked["locked"]),
            need_only_begin=frozenset(asked["need_only_begin"]),
        )
        shares = {name: made.share(tasks) for name, tasks in asked["groups"].items()}
    except (TypeError, KeyError, ValueError, AttributeError) as error:
        raise ProblemError(f"replays: {error!r}") from None
    return {"shares": shares, "costs": list(made.costs)}


def booking_answer(asked: Any) -> dict[str, Any]:
    """What booking one bike does. Raises ProblemError naming what is wrong."""
    if not isinstance(asked, dict) or set(asked) != _BOOKING:
        raise ProblemError(f"booking: not an object of {', '.join(sorted(_BOOKING))}")
    day = day_from_json(asked["problem"])
    bike = bike_like(day, asked["bike"])
    others = replace(day, tasks=tuple(task for task in day.tasks if task not in bike))
    found = booking_shares(
        others,
        bike,
        asked["tasks"],
        spread=float(asked["spread"]),
        need_only_begin=frozenset(asked["need_only_begin"]),
    )
    return {str(task): list(astuple(share)) for task, share in found.items()}


def assignments_from_json(given: Any) -> tuple[Assignment, ...]:
    return tuple(
        Assignment(each["task"], int(each["start"]), tuple(each["crew"])) for each in given
    )


def assignments_to_json(assignments: Iterable[Assignment]) -> list[dict[str, Any]]:
    return [{"task": a.task, "start": a.start, "crew": list(a.crew)} for a in assignments]
