"""The planner: who does what and when, what does not fit, and why. It does not use Django.

>>> from jobs.planning import CrewMember, PlanningDay, PlanningTask, plan
>>> day = PlanningDay(
...     crew=(CrewMember("Ann", frozenset({"tuner", "helper"})),),
...     tasks=(PlanningTask("sag 17", bike=17, minutes=8, skill="helper", windows=((480, 500),)),),
... )
>>> plan(day).assignments
(Assignment(task='sag 17', start=480, crew=('Ann',)),)

In the order of reading:

``model``          what goes in and what comes out; ``input_check`` refuses a faulty day
``compiled``       the day as bit masks; ``timetable`` the plan while it is built
``planner``        from a day to a plan: ``dispatch`` (rules), then ``search``, then
                   ``blocks`` with ``sequence`` (order) and ``left_shift`` (early starts)
``previous_plan``  what keeps a new plan close to the previous one
``first_tasks``    tasks of which as few as possible are missed, whatever else it costs
``plan_output``    the plan with its ``reasons``, which ``words`` turns into sentences
``validate``       checks any plan, and shares no code with the search
``gaps``, ``capacity``, ``relief``, ``staffing``
                   free times, more bikes, one more helper, how many helpers
``work_times``     how long work took, from the marks people made; ``learned_minutes``
                   what that teaches
``replays``        a plan worked off many times while minutes scatter; ``chances`` puts what
                   they say right by what came of earlier days; ``booking`` compares a day
                   without and with one more bike
``spare_tasks``    what somebody with nothing to do could take
``cli``            the command line, with ``json_format`` and ``json_relief``

Two sub-packages are not needed to understand a plan: ``proof`` (bounds and the long search,
with optional solvers) and ``bench``.
"""

from .capacity import Capacity, bike_like, capacity
from .chances import (
    LEADS,
    DayCost,
    Experience,
    StatedCost,
    Statement,
    experience,
    percent,
    planned_of_alike,
)
from .gaps import first_gaps
from .json_format import day_from_json, day_to_json, input_hash, plan_from_json, plan_to_json
from .learned_minutes import NOISE, LearnedMinutes, learned_minutes
from .model import (
    Assignment,
    Cause,
    CrewMember,
    LateTask,
    MissedTask,
    Plan,
    PlanningDay,
    PlanningTask,
    ProblemError,
    Reason,
    StoppedBy,
    plan_cost,
)
from .planner import QUICK_ITERATIONS, plan, plan_with_reasons, replan
from .previous_plan import tasks_moved
from .proof.bounds import Bound, bound
from .proof.rest_of_day import BoundedPlan, best_rest_of_day
from .relief import (
    ChangeEffect,
    MovedTasks,
    best_helper_hours,
    best_tasks_to_move,
    day_after_departure,
    day_with_helper,
    effect_of_change,
)
from .replays import Replays, replays
from .search import MOVE_TOLERANCE_MIN
from .spare_tasks import SpareTask, WhySpare, spare_tasks
from .staffing import Staffing, StaffingOption, staffing
from .validate import validate
from .words import reason_message, reason_words
from .work_times import WorkMark, WorkTime, work_times

__all__ = [
    "LEADS",
    "MOVE_TOLERANCE_MIN",
    "NOISE",
    "QUICK_ITERATIONS",
    "Assignment",
    "Bound",
    "BoundedPlan",
    "Capacity",
    "Cause",
    "ChangeEffect",
    "CrewMember",
    "DayCost",
    "Experience",
    "LateTask",
    "LearnedMinutes",
    "MissedTask",
    "MovedTasks",
    "Plan",
    "PlanningDay",
    "PlanningTask",
    "ProblemError",
    "Reason",
    "Replays",
    "SpareTask",
    "Staffing",
    "StaffingOption",
    "StatedCost",
    "Statement",
    "StoppedBy",
    "WhySpare",
    "WorkMark",
    "WorkTime",
    "best_helper_hours",
    "best_rest_of_day",
    "best_tasks_to_move",
    "bike_like",
    "bound",
    "capacity",
    "day_after_departure",
    "day_from_json",
    "day_to_json",
    "day_with_helper",
    "effect_of_change",
    "experience",
    "first_gaps",
    "input_hash",
    "learned_minutes",
    "percent",
    "plan",
    "plan_cost",
    "plan_from_json",
    "plan_to_json",
    "plan_with_reasons",
    "planned_of_alike",
    "reason_message",
    "reason_words",
    "replan",
    "replays",
    "spare_tasks",
    "staffing",
    "tasks_moved",
    "validate",
    "work_times",
]
