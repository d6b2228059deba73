"""The day's plan: stored, replaced when it no longer fits, and what people decide about it."""

import hashlib
import uuid
from dataclasses import dataclass, field
from datetime import datetime
from time import monotonic
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from jobs import planning
from jobs.outbox.services import job_enqueue
from jobs.people.enums import CREW
from jobs.people.models import User
from jobs.trackday import clock
from jobs.trackday.models import Entry, Session, Trackday
from jobs.trackday.services import revision_bump

from ..day import Day
from ..derive import task_id
from ..models import ChecklistItem, DayPlan, PlanWish
from ..planned.chances import until_counted
from ..planned.minutes import minute_to
from ..planned.offer import is_open
from ..planned.planner_process import STEPS
from ..planned.problem import Problem, as_problem, day_work
from ..planned.stored import MOST_REASONS_KEPT, as_stored, before, is_stale
from ..selectors.plans import plan_of

BETTER, REST, RELIEF = "worklist.plan", "worklist.rest", "worklist.relief"
CHANCES = "worklist.chances"
PAGE_SEARCH_SECONDS = 0.35  # a page never searches longer, however busy the machine


@dataclass
class SearchBudget:
    """How long one page may search; the plans it needs share it."""

    iterations: int = planning.QUICK_ITERATIONS
    seconds: float | None = field(default_factory=lambda: PAGE_SEARCH_SECONDS)
    begun: float = field(default_factory=monotonic)

    @property
    def left(self) -> float | None:
        """Seconds; None: no safety stop."""
        if self.seconds is None:
            return None
        return max(0.0, self.seconds - monotonic() + self.begun)

    def half(self) -> "SearchBudget":
        """Half of what is left, taken from it."""
        left = self.left
        part = SearchBudget(self.iterations // 2, None if left is None else left / 2)
        self.iterations -= part.iterations
        return part


def plan_refresh(*, day: Day, budget: SearchBudget | None = None) -> DayPlan | None:
    """The plan in force; one that no longer fits is replaced at once by a quick one.

    A better one is searched for later by a worker. None: no crew, or nothing to do.
    ``budget``: a page that has more to plan after this; half of it is spent here.
    """
    work = day_work(day)
    if not work.to_do or not work.crew:
        return None
    stored = plan_of(day.trackday)
    if stored is not None and not is_stale(stored, work):
        return stored
    problem, part = as_problem(work), budget.half() if budget else SearchBudget()
    made = quick_plan(problem, stored, part)
    return plan_publish(day=day, problem=problem, plan=made, instead_of=stored)


def quick_plan(problem: Problem, stored: DayPlan | None, budget: SearchBudget) -> planning.Plan:
    """A plan made while the page waits: from dispatch rules or from the plan before."""
    if stored is None:
        return planning.plan(
            problem.day,
            now=problem.now,
            locked=problem.locked,
            iterations=budget.iterations,
            seconds=budget.left,
            reasons=MOST_REASONS_KEPT,
        )
    was, previous = before(stored, problem)
    return planning.replan(
        problem.day,
        previous,
        previous_input=was,
        now=problem.now,
        locked=problem.locked,
        iterations=budget.iterations,
        seconds=budget.left,
        reasons=MOST_REASONS_KEPT,
    )


def plan_publish(
    *, day: Day, problem: Problem, plan: planning.Plan, instead_of: DayPlan | None = None
) -> DayPlan:
    """Store a plan, and have a better one searched for."""
    stored, _created = DayPlan.objects.update_or_create(
        trackday=day.trackday,
        defaults={
            **as_stored(problem, plan),
            "relief": None,
            "offer": None,
            "chances": until_counted(instead_of.chances if instead_of else None),
            "revision": day.trackday.revision,
            "made_at": day.at,
        },
    )
    if any(plan.rank):
        _enqueue(BETTER, stored, step=0)
    _enqueue(CHANCES, stored, cost=stored.cost)
    return stored


def _enqueue(handler: str, stored: DayPlan, **more: Any) -> None:
    """Enqueue work on the plan in force; the same work is enqueued once."""
    payload = {"trackday": stored.trackday_id, "input_hash": stored.input_hash, **more}
    which = " ".join(str(value) for value in (*payload.values(), stored.made_at.isoformat()))
    digest = hashlib.sha256(which.encode()).hexdigest()  # a key has room for 120 characters
    job_enqueue(handler=handler, payload=payload, key=f"{handler} {digest}")


def plan_publish_better(*, stored: DayPlan, problem: Problem, plan: planning.Plan) -> bool:
    """Publish a better plan, if its input is still the one in force. False: dropped."""
    published = bool(
        same_plan(stored)
        .filter(_worse_than(*plan.rank))
        .update(
            **as_stored(problem, plan),
            relief=None,
            offer=None,
            chances=until_counted(stored.chances),
        )
    )
    if published:
        _enqueue(CHANCES, stored, cost=plan.cost)
        revision_bump(trackday_id=stored.trackday_id)
    return published


def plan_step(*, stored: DayPlan, problem: Problem, plan: planning.Plan | None, step: int) -> bool:
    """Publish what one step found, and ask for the next one while the day stays as it is.

    After the last step the best of the rest is looked for, to be offered.
    """
    published = plan is not None and plan_publish_better(stored=stored, problem=problem, plan=plan)
    still = same_plan(stored).filter(_worse_than(0, 0)).first()
    if still is not None and step + 1 < len(STEPS):
        _enqueue(BETTER, still, step=step + 1)
    elif still is not None:
        _enqueue(REST, still)
    return published


def offer_keep(*, stored: DayPlan, offer: dict[str, Any] | None) -> bool:
    """Offer a better plan, if the one in force is still the one it betters.

    Then it is counted what would help with the work left out.
    """
    same = same_plan(stored).filter(first_missed=stored.first_missed, cost=stored.cost)
    kept = offer is not None and bool(same.update(offer=offer))
    if kept:
        revision_bump(trackday_id=stored.trackday_id)
    if (still := same.first()) is not None:
        _enqueue(RELIEF, still)
    return kept


def offer_answer(*, trackday: Trackday, offer_id: str, take: bool, at: datetime) -> None:
    """Put the plan on offer in force, or let it go. Refused when it is no longer on offer."""
    stored = DayPlan.objects.select_for_update(no_key=True).filter(trackday=trackday).first()
    offer = stored and stored.offer
    if not stored or not offer or offer["id"] != offer_id:
        raise ValidationError(_("That round is no longer on offer: the day has moved on."))
    stored.offer = None
    if take:
        if not is_open(offer, minute_to(clock.midnight(trackday), at)):
            raise ValidationError(
                _("Too late for that round: work it would move has begun. The plan stays.")
            )
        for name, value in offer["plan"].items():
            setattr(stored, name, value)
        stored.relief, stored.chances = None, until_counted(stored.chances)
    stored.save()
    if take:
        _enqueue(CHANCES, stored, cost=stored.cost)
    if take and any(stored.rank):
        _enqueue(RELIEF, stored, cost=stored.cost)


def relief_request(*, stored: DayPlan) -> None:
    """Have it worked out what would help, unless that is known or nothing is left out."""
    if stored.relief is None and any(stored.rank):
        _enqueue(RELIEF, stored, cost=stored.cost)


def relief_keep(*, stored: DayPlan, relief: dict[str, Any]) -> bool:
    """Keep what would help, if the plan is still the one it was counted for."""
    same = same_plan(stored).filter(first_missed=stored.first_missed, cost=stored.cost)
    kept = bool(same.update(relief=relief))
    if kept:
        revision_bump(trackday_id=stored.trackday_id)
    return kept


def _worse_than(first_missed: int, cost: int) -> Q:
    """Plans that leave out more arrival checks, or as many and cost more."""
    return Q(first_missed__gt=first_missed) | Q(first_missed=first_missed, cost__gt=cost)


def same_plan(stored: DayPlan) -> QuerySet[DayPlan]:
    """The plan as long as neither its input nor its moment has moved on."""
    return DayPlan.objects.filter(
        pk=stored.pk, input_hash=stored.input_hash, made_at=stored.made_at
    )


def wish_record(
    *,
    wish_id: uuid.UUID,
    entry: Entry,
    session: Session | None,
    item: ChecklistItem,
    by: User,
    at: datetime,
    person: User | None = None,
    start_minute: int | None = None,
    dropped: bool = False,
    after_session: Session | None = None,
) -> PlanWish:
    """What a person decided about one task; it stands until another or its withdrawal."""
    if person is not None and person.role not in CREW:
        raise ValidationError(_("%(name)s is not of the crew.") % {"name": person})
    if person is not None and item.skill == "tuner" and not person.is_tuner:
        raise ValidationError(_("“%(task)s” is a tuner's work.") % {"task": item})
    if after_session is not None and not item.movable:
        raise ValidationError(_("“%(task)s” belongs to its own time.") % {"task": item})
    return PlanWish.objects.create(
        id=wish_id,
        trackday_id=entry.trackday_id,
        task_id=task_id(entry.pk, session.pk if session else None, item.checklist.code, item.code),
        person=person,
        start_minute=start_minute,
        dropped=dropped,
        after_session=after_session,
        by=by,
        at=at,
    )


def wish_withdraw(*, wish: PlanWish, at: datetime) -> None:
    if wish.withdrawn_at is None:
        wish.withdrawn_at = at
        wish.save(update_fields=["withdrawn_at"])
