"""The planner: who does what, when, what will not fit, and why. Pure: no Django.

>>> from jobs.planning import CrewMember, Day, Task, plan
>>> day = Day(
...     crew=(CrewMember("Ann", frozenset({"tuner", "helper"})),),
...     tasks=(Task("sag 17", bike=17, minutes=8, skill="helper", windows=((480, 500),)),),
... )
>>> plan(day).assignments
(Assignment(task='sag 17', start=480, crew=('Ann',)),)
"""

from .bounds import Bound, bound
from .capacity import AtLeast, bike_like, capacity
from .forms import day_from_json, day_to_json, input_hash, plan_from_json, plan_to_json
from .gaps import first_gaps
from .model import (
    Assignment,
    Cause,
    CrewMember,
    Day,
    Late,
    Missed,
    Plan,
    ProblemError,
    Reason,
    StoppedBy,
    Task,
    plan_cost,
)
from .planner import QUICK, explained, plan, replan
from .reference import tasks_moved
from .relief import Moving, WhatIf, helper_hours, leaving, moved_away, what_if, with_helper
from .rest import Rest, best_of_rest
from .search import NEAR
from .staffing import Staffing, WithHelpers, staffing
from .validate import validate
from .words import reason_message, reason_words

__all__ = [
    "NEAR",
    "QUICK",
    "Assignment",
    "AtLeast",
    "Bound",
    "Cause",
    "CrewMember",
    "Day",
    "Late",
    "Missed",
    "Moving",
    "Plan",
    "ProblemError",
    "Reason",
    "Rest",
    "Staffing",
    "StoppedBy",
    "Task",
    "WhatIf",
    "WithHelpers",
    "best_of_rest",
    "bike_like",
    "bound",
    "capacity",
    "day_from_json",
    "day_to_json",
    "explained",
    "first_gaps",
    "helper_hours",
    "input_hash",
    "leaving",
    "moved_away",
    "plan",
    "plan_cost",
    "plan_from_json",
    "plan_to_json",
    "reason_message",
    "reason_words",
    "replan",
    "staffing",
    "tasks_moved",
    "validate",
    "what_if",
    "with_helper",
]
