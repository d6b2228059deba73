"""The JSON format of a problem and a plan, and the hash of a problem.

problem.json  {"crew": [{"id", "skills", "off", "name"}], "tasks": [{"id", "bike", "kind",
              "minutes", "people", "skill", "windows", "due", "miss_cost",
              "late_cost_per_min", "after", "requires", "place", "first", "name"}]}
plan.json     {"assignments": [{"task", "start", "crew"}], "missed": [{"task", "reason"}],
              "late": [{"task", "minutes", "reason"}], "first_missed", "cost", "seed",
              "iterations", "stopped_by", "input_hash"}
"""

import hashlib
import json
from typing import Any

from .input_check import day_check
from .model import (
    Assignment,
    CrewMember,
    Id,
    LateTask,
    MissedTask,
    Plan,
    PlanningDay,
    PlanningTask,
    ProblemError,
    StoppedBy,
    Window,
)
from .words import reason_words

_MEMBER = {"id", "skills", "off", "name"}
_TASK_NEEDS = {"id", "bike", "minutes", "skill"}
_TASK = _TASK_NEEDS | {
    *("kind", "people", "windows", "due", "miss_cost", "late_cost_per_min"),
    *("after", "requires", "place", "first", "name"),
}
_PLAN = {
    *("assignments", "missed", "late", "first_missed", "cost", "seed", "iterations"),
    *("stopped_by", "input_hash"),
}


def day_from_json(data: Any) -> PlanningDay:
    """Read and check a problem. Raises ProblemError naming what is wrong."""
    _keys(data, "problem", {"crew", "tasks"}, {"crew", "tasks"})
    day = PlanningDay(
        crew=tuple(_member(each, i) for i, each in enumerate(_list(data["crew"], "crew"))),
        tasks=tuple(_task(each, i) for i, each in enumerate(_list(data["tasks"], "tasks"))),
    )
    day_check(day)
    return day


def day_to_json(day: PlanningDay) -> dict[str, Any]:
    """The problem's JSON format; persons and tasks in the order of their ids."""
    return {
        "crew": [
            {
                "id": m.id,
                "skills": sorted(m.skills),
                "off": [list(w) for w in m.off],
                **({"name": m.name} if m.name else {}),
            }
            for m in sorted(day.crew, key=lambda m: str(m.id))
        ],
        "tasks": [_task_to_json(t) for t in sorted(day.tasks, key=lambda t: str(t.id))],
    }


def input_hash(day: PlanningDay) -> str:
    """SHA-256 of the canonical JSON of the problem. The order of its rows does not count."""
    text = json.dumps(day_to_json(day), sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def plan_from_json(data: Any) -> Plan:
    """Read a plan. Reasons are words for people and are not read back."""
    _keys(data, "plan", _PLAN, {"assignments"})
    try:
        stopped_by = StoppedBy(data.get("stopped_by", StoppedBy.ITERATIONS))
    except ValueError as error:
        raise ProblemError(f"plan: {error}") from None
    return Plan(
        assignments=tuple(_assignment(each) for each in _list(data["assignments"], "plan")),
        missed=tuple(
            MissedTask(_entry(m, "missed")) for m in _list(data.get("missed", []), "plan")
        ),
        late=tuple(
            LateTask(_entry(each, "late"), _int(each.get("minutes", 0), "late: minutes"))
            for each in _list(data.get("late", []), "plan")
        ),
        cost=_int(data.get("cost", 0), "plan: cost"),
        seed=_int(data.get("seed", 0), "plan: seed"),
        iterations=_int(data.get("iterations", 0), "plan: iterations"),
        stopped_by=stopped_by,
        input_hash=str(data.get("input_hash", "")),
        first_missed=_int(data.get("first_missed", 0), "plan: first_missed"),
    )


def plan_to_json(day: PlanningDay, plan: Plan) -> dict[str, Any]:
    """The plan's JSON format, reasons in words."""
    return {
        "assignments": [
            {"task": a.task, "start": a.start, "crew": list(a.crew)} for a in plan.assignments
        ],
        "missed": [{"task": m.task, "reason": reason_words(day, m)} for m in plan.missed],
        "late": [
            {"task": x.task, "minutes": x.minutes, "reason": reason_words(day, x)}
            for x in plan.late
        ],
        "first_missed": plan.first_missed,
        "cost": plan.cost,
        "seed": plan.seed,
        "iterations": plan.iterations,
        "stopped_by": str(plan.stopped_by),
        "input_hash": plan.input_hash,
    }


def _task_to_json(task: PlanningTask) -> dict[str, Any]:
    """A task; ``first`` and ``name`` only where it has them: other problems keep their hash."""
    return {
        "id": task.id,
        "bike": task.bike,
        "kind": task.kind,
        "minutes": task.minutes,
        "people": task.people,
        "skill": task.skill,
        "windows": [list(w) for w in task.windows],
        "due": task.due,
        "miss_cost": task.miss_cost,
        "late_cost_per_min": task.late_cost_per_min,
        "after": sorted(task.after, key=str),
        "requires": sorted(task.requires, key=str),
        "place": task.place,
        **({"first": True} if task.first else {}),
        **({"name": task.name} if task.name else {}),
    }


def _member(data: Any, index: int) -> CrewMember:
    name = _name("person", data, index)
    _keys(data, name, _MEMBER, {"id", "skills"})
    skills = _list(data["skills"], f"{name}: skills")
    for skill in skills:
        _str(skill, f"{name}: skills")
    off = windows(data.get("off", []), f"{name}: off")
    own_name = _str(data.get("name", ""), f"{name}: name")
    return CrewMember(_id(data["id"], name), frozenset(skills), off, own_name)


def _task(data: Any, index: int) -> PlanningTask:
    name = _name("task", data, index)
    _keys(data, name, _TASK, _TASK_NEEDS)
    return PlanningTask(
        id=_id(data["id"], name),
        bike=_id(data["bike"], f"{name}: bike"),
        kind=_str(data.get("kind", ""), f"{name}: kind"),
        minutes=_int(data["minutes"], f"{name}: minutes"),
        people=_int(data.get("people", 1), f"{name}: people"),
        skill=_str(data["skill"], f"{name}: skill"),
        windows=windows(data.get("windows", []), f"{name}: windows"),
        due=_optional(data.get("due"), f"{name}: due"),
        miss_cost=_int(data.get("miss_cost", 1), f"{name}: miss_cost"),
        late_cost_per_min=_int(data.get("late_cost_per_min", 0), f"{name}: late_cost_per_min"),
        after=_ids(data.get("after", []), f"{name}: after"),
        requires=_ids(data.get("requires", []), f"{name}: requires"),
        place=_optional(data.get("place"), f"{name}: place"),
        first=_bool(data.get("first", False), f"{name}: first"),
        name=_str(data.get("name", ""), f"{name}: name"),
    )


def _assignment(data: Any) -> Assignment:
    _keys(data, "assignment", {"task", "start", "crew"}, {"task", "start", "crew"})
    name = f"assignment of task {data['task']}"
    return Assignment(
        _id(data["task"], name), _int(data["start"], f"{name}: start"), _ids(data["crew"], name)
    )


def _entry(data: Any, name: str) -> Id:
    _keys(data, name, {"task", "minutes", "reason"}, {"task"})
    return _id(data["task"], name)


def _name(what: str, data: Any, index: int) -> str:
    if isinstance(data, dict) and "id" in data:
        return f"{what} {data['id']}"
    return f"{what} number {index + 1}"


def _keys(data: Any, name: str, allowed: set[str], needed: set[str]) -> None:
    if not isinstance(data, dict):
        raise ProblemError(f"{name}: an object is expected, not {_shown(data)}")
    if unknown := sorted(set(data) - allowed):
        raise ProblemError(f"{name}: unknown key {unknown[0]!r}")
    if missing := sorted(needed - set(data)):
        raise ProblemError(f"{name}: {missing[0]!r} is missing")


def _list(data: Any, name: str) -> list[Any]:
    if not isinstance(data, list):
        raise ProblemError(f"{name}: a list is expected, not {_shown(data)}")
    return data


def _int(data: Any, name: str) -> int:
    if isinstance(data, bool) or not isinstance(data, int):
        raise ProblemError(f"{name}: a whole number is expected, not {_shown(data)}")
    return data


def _bool(data: Any, name: str) -> bool:
    if not isinstance(data, bool):
        raise ProblemError(f"{name}: true or false is expected, not {_shown(data)}")
    return data


def _optional(data: Any, name: str) -> int | None:
    return None if data is None else _int(data, name)


def _str(data: Any, name: str) -> str:
    if not isinstance(data, str):
        raise ProblemError(f"{name}: text is expected, not {_shown(data)}")
    return data


def _id(data: Any, name: str) -> Id:
    if isinstance(data, bool) or not isinstance(data, str | int):
        raise ProblemError(f"{name}: an id is text or a whole number, not {_shown(data)}")
    return data


def _ids(data: Any, name: str) -> tuple[Id, ...]:
    return tuple(_id(each, name) for each in _list(data, name))


def windows(data: Any, name: str) -> tuple[Window, ...]:
    """A list of [from, to] pairs, in minutes."""
    found = []
    for pair in _list(data, name):
        if not isinstance(pair, list) or len(pair) != 2:
            raise ProblemError(f"{name}: [from, to] is expected, not {_shown(pair)}")
        found.append((_int(pair[0], name), _int(pair[1], name)))
    return tuple(found)


def _shown(data: Any) -> str:
    return json.dumps(data, default=str)[:60]
