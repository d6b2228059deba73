"""Deferred work of this room: better plans and what would help, made in a process of their own.

Pure Python holds the interpreter, so the search never runs where pages are served: the
planner's own command line is started instead, under a limit. A better plan is published
as soon as a step has found one, and the next step asked for; each drops out when the day
has moved on.
"""

import uuid
from collections.abc import Mapping
from functools import partial
from typing import Any

from django.utils.translation import gettext_lazy as _

from jobs import planning
from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler
from jobs.trackday.models import Trackday

from .models import DayPlan
from .planned.chances import said_of_day
from .planned.gaps import later_gaps
from .planned.offer import as_offer
from .planned.planner_process import relief_ask, rest_ask, search_on
from .planned.problem import Problem, as_problem, day_problem, day_work
from .planned.stored import is_stale
from .selectors import day_read
from .selectors.plans import plan_of
from .selectors.statements import statements_of
from .services.checklists import MINUTES
from .services.learning import minutes_learn
from .services.plans import BETTER, CHANCES, RELIEF, REST, offer_keep, plan_step, relief_keep
from .services.statements import chances_keep


@handler(BETTER, queue=Queue.PLANNING, words=_("a better plan"))
def plan(job: JobInput) -> Finish | None:
    """One step of searching on from the plan in force; published only if that still stands."""
    found = _in_force(job)
    if found is None:
        return None
    stored, problem = found
    step = job.payload.get("step", 0)
    made = search_on(problem, stored, step)
    # With faults there is a pin it could not keep: the plan in force does.
    faults = planning.validate(problem.day, made, locked=problem.locked, now=problem.now)
    better = None if faults else made
    return partial(plan_step, stored=stored, problem=problem, plan=better, step=step)


@handler(REST, queue=Queue.PLANNING, words=_("the plan of the rest of a day"))
def rest(job: JobInput) -> Finish | None:
    """The best of the rest of the day, offered: it moves too much to be published unasked."""
    found = _in_force(job)
    if found is None:
        return None
    stored, problem = found
    best = rest_ask(problem, stored)
    faults = planning.validate(problem.day, best.plan, locked=problem.locked, now=problem.now)
    offer = None if faults else as_offer(problem, stored, best)
    return partial(offer_keep, stored=stored, offer=offer)


@handler(RELIEF, queue=Queue.PLANNING, words=_("what would help a day"))
def relief(job: JobInput) -> Finish | None:
    """What would help the day as planned: one more helper, work that could wait."""
    found = _in_force(job)
    if found is None:
        return None
    stored, problem = found
    movable = {
        task_id: [window for _session, window in gaps]
        for task_id, task in problem.tasks.items()
        if task.item.movable and (gaps := later_gaps(problem, task))
    }
    answer = relief_ask(problem, stored, {str(task): gaps for task, gaps in movable.items()})
    moved = answer["moved"] or {"tasks": []}
    for each in moved["tasks"]:
        gaps = later_gaps(problem, problem.tasks[uuid.UUID(each["task"])])
        each["after_session"] = next(s for s, (a, b) in gaps if a <= each["start"] < b)
    return partial(relief_keep, stored=stored, relief=answer)


@handler(CHANCES, queue=Queue.PLANNING, words=_("the chances of a day"))
def chances(job: JobInput) -> Finish | None:
    """How likely the follow-ups of the plan in force are, as the day is now.

    Dropped if the day has moved on, also where nobody has asked for its new plan yet.
    """
    trackday = Trackday.objects.select_related("venue").get(pk=job.payload["trackday"])
    stored = plan_of(trackday)
    if stored is None or not _is_asked_of(stored, job.payload):
        return None
    work = day_work(day_read(trackday))
    if is_stale(stored, work):
        return None
    problem = as_problem(work)
    said = said_of_day(problem, stored, statements_of(trackday).spread)
    return partial(chances_keep, stored=stored, problem=problem, said=said)


def _is_asked_of(stored: DayPlan, payload: Mapping[str, Any]) -> bool:
    return (stored.input_hash, stored.cost) == (payload["input_hash"], payload["cost"])


@handler(MINUTES, queue=Queue.PLANNING)
def minutes(job: JobInput) -> Finish:
    """How long each item takes, from the marks of the days before one."""
    return partial(minutes_learn, before=Trackday.objects.get(pk=job.payload["trackday"]))


def _in_force(job: JobInput) -> tuple[DayPlan, Problem] | None:
    """The plan the work was asked for, and its problem; None if the day has moved on."""
    trackday = Trackday.objects.select_related("venue").get(pk=job.payload["trackday"])
    stored = plan_of(trackday)
    if stored is None or stored.input_hash != job.payload["input_hash"]:
        return None
    problem = day_problem(day_read(trackday, stored.made_at))
    return (stored, problem) if planning.input_hash(problem.day) == stored.input_hash else None
