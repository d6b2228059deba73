"""The planner's command line, run in a process of its own, beginning with the plan in force."""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from jobs import planning
from jobs.planning.model import Window

from ..models import DayPlan
from .problem import Problem
from .stored import before

# Each step of the search in iterations; every one that gains is published.
STEPS = (1500, 4000)
# How long the best of the rest is searched for: nine seconds, so that it is offered within ten.
REST_BUDGET: tuple[str, ...] = ("--seconds", "9")
SECONDS = 20
BASE_DIR = Path(__file__).resolve().parents[3]


def search_on(problem: Problem, stored: DayPlan, step: int) -> planning.Plan:
    """Improve the plan in force by one step; what has begun is locked."""
    with TemporaryDirectory() as folder:
        start = _written(folder, "plan", _in_force(problem, stored))
        made = planning.plan_from_json(
            run(
                *("plan", "--previous", start, "--now", str(problem.now)),
                *("--iterations", str(STEPS[step]), "--seconds", str(SECONDS)),
                *("--seed", str(step + 1)),
                given=planning.day_to_json(problem.day),
            )
        )
    return planning.plan_with_reasons(problem.day, made, now=problem.now, locked=problem.locked)


def rest_ask(problem: Problem, stored: DayPlan) -> planning.BoundedPlan:
    """The best of the rest of the day, and how near to the best it is proven to be."""
    with TemporaryDirectory() as folder:
        found = run(
            *("rest", "--previous", _written(folder, "plan", _in_force(problem, stored))),
            *("--now", str(problem.now), *REST_BUDGET),
            given=planning.day_to_json(problem.day),
        )
    made = planning.plan_from_json(found["plan"])
    made = planning.plan_with_reasons(problem.day, made, now=problem.now, locked=problem.locked)
    return planning.BoundedPlan(made, found["bound"], found["first_bound"])


def relief_ask(
    problem: Problem, stored: DayPlan, elsewhere: Mapping[str, Sequence[Window]]
) -> dict[str, Any]:
    """What would help; the form is in ``jobs.planning.json_relief``."""
    with TemporaryDirectory() as folder:
        return run(
            "relief",
            _written(folder, "problem", planning.day_to_json(problem.day)),
            _written(folder, "plan", _in_force(problem, stored)),
            *("--now", str(problem.now)),
            *("--elsewhere", _written(folder, "elsewhere", elsewhere)),
        )


def _in_force(problem: Problem, stored: DayPlan) -> dict[str, Any]:
    _was, previous = before(stored, problem)
    held = {a.task for a in problem.locked}
    kept = (a for a in previous.assignments if a.task not in held)
    previous = replace(previous, assignments=(*problem.locked, *kept))
    done = {a.task for a in previous.assignments}
    missed = tuple(planning.MissedTask(t.id) for t in problem.day.tasks if t.id not in done)
    return planning.plan_to_json(problem.day, replace(previous, missed=missed))


def _written(folder: str, name: str, data: Any) -> str:
    path = Path(folder) / f"{name}.json"
    path.write_text(json.dumps(data))
    return str(path)


def run(*arguments: str, given: Any = None) -> dict[str, Any]:
    """One command of the planner: JSON in, JSON out. Raises when it fails or takes too long."""
    done = subprocess.run(  # noqa: S603 - our own module; its arguments are numbers and paths
        [sys.executable, "-m", "jobs.planning", *arguments],
        input=json.dumps(given),
        capture_output=True,
        text=True,
        check=True,
        timeout=3 * SECONDS,
        cwd=BASE_DIR,
    )
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer
