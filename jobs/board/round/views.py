"""A round: the task in hand, the tasks after it, and ticking a task."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _lazy
from django.views.decorators.http import require_POST

from jobs.acts.enums import Outcome
from jobs.acts.models import Act
from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.people.models import User
from jobs.setups.enums import Verdict
from jobs.trackday import clock
from jobs.trackday.at_hand import own_trackday
from jobs.trackday.models import Trackday
from jobs.worklist.bikes import to_do_again
from jobs.worklist.day import Day
from jobs.worklist.enums import BikeState, TaskState
from jobs.worklist.models import DayPlan
from jobs.worklist.pit_in import arrivals
from jobs.worklist.planned.spare_work import SpareWork, spare_work
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import Round, RoundTask, rounds
from jobs.worklist.rounds import round_of as read_round
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh

from ..day.alerts import alerts
from ..day.offer import offer_of
from ..day.trackday_lookup import trackday_or_404
from ..pit_in_calls import calls_of
from .cards import card, point_choices
from .crew_member import crew_member
from .stable_round import StableRound, shown_tasks, stable_round

# What may still be done though it is not open at this moment.
LATE_OR_EARLY = (TaskState.MISSED, TaskState.LATER, TaskState.OPEN)
# After these the task stays in hand, or is in hand again.
TASK_STAYS = ("start", "undo", "arrived")
# What a card carries before anybody touches it.
FIELDS_NOT_TYPED = ("task", "entry", "session", "item", "subject", "shown", "act_kinds")
UNDO = "board/round/undo.html"
# A round is walked from the top; what comes much later is on the board.
MOST_SHOWN = 10
SKIP_REASONS = (_lazy("rider is away"), _lazy("no time"), _lazy("not on this bike"))


def my_round(request: SignedIn) -> HttpResponse:
    trackday = own_trackday(request)
    if trackday is None:
        return render(request, "board/day/none.html")
    return _page(request, trackday, request.user)


def round_of(request: SignedIn, trackday_id: int, user_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    return _page(request, trackday, crew_member(user_id))


def then(request: SignedIn, trackday_id: int, user_id: int) -> HttpResponse:
    """What comes after the task in hand: the part that moves by itself.

    A task in hand stays while it is open, or while something is typed into it; a hand that
    is empty, or holds what is over, gets the next one.
    """
    trackday = trackday_or_404(trackday_id)
    person = crew_member(user_id)
    in_hand, typed = _wanted(request.GET.get("task", "")), _typed(request.GET)
    context = _context(request, trackday, person, in_hand, keep_over=typed)
    context["fills_hand"] = in_hand is None or (context["gone"] and not typed)
    return render(request, "board/round/moved.html", context)


def _typed(form: Mapping[str, str]) -> bool:
    """Whether a person has entered anything into the card."""
    return any(str(value).strip() for name, value in form.items() if name not in FIELDS_NOT_TYPED)


@require_POST
def tick(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Start, skip or tick the task in hand, take that back, say that a bike has come.

    A refused tick keeps everything typed.
    """
    trackday = trackday_or_404(trackday_id)
    how = request.POST.get("how", "")
    posted = {name: str(value) for name, value in request.POST.items()}
    act = _apply(request, trackday, how, posted)
    done = act is not None and act.outcome != Outcome.REFUSED
    if posted.get("on") == "pit-in":
        return _on_pit_in(request, trackday, act if done else None)
    wanted = _wanted(posted.get("task", "")) if not done or how in TASK_STAYS else None
    typed = posted if wanted and not done and how not in TASK_STAYS else None
    context = _context(request, trackday_or_404(trackday_id), request.user, wanted, typed)
    if act is not None and done and how not in TASK_STAYS:
        context["undo"] = {"template": UNDO, "row": act.pk, "task": posted.get("task", "")}
    context["keeps_hand"] = bool(wanted) and how == "arrived"
    if not request.htmx:  # type: ignore[attr-defined]
        return render(request, "board/round/round.html", context)
    return render(request, "board/round/both.html", context)


def _on_pit_in(request: SignedIn, trackday: Trackday, done: Act | None) -> HttpResponse:
    """A pit-in card goes on by itself: it is told what came of the act, and the way back."""
    context: dict[str, Any] = {"trackday": trackday}
    if done is not None and done.kind == "tick":
        entry = done.payload.get("entry")
        context["undo"] = {"template": UNDO, "row": done.pk, "on": "pit-in", "entry": entry}
    answer = render(request, "notices.html", context)
    answer["X-Outcome"] = "refused" if done is None else "applied"
    return answer


def _apply(request: SignedIn, trackday: Trackday, how: str, posted: dict[str, str]) -> Act | None:
    """Send the act of a form; None when the form itself could not be read."""
    kind = {"start": "start task", "skip": "skip", "undo": "withdraw", "arrived": "arrived"}.get(
        how, "tick"
    )
    try:
        act = act_from_form(request, kind=kind, trackday=trackday)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return None
    posted["photo_id"] = act.payload.get("photo") or ""  # a refused tick need not take it again
    return act


def _page(request: SignedIn, trackday: Trackday, person: User) -> HttpResponse:
    context = _context(request, trackday, person, _wanted(request.GET.get("task", "")))
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "board/round/both.html", context)
    return render(request, "board/round/round.html", context)


def _context(
    request: SignedIn,
    trackday: Trackday,
    person: User,
    wanted: uuid.UUID | None,
    posted: Mapping[str, str] | None = None,
    *,
    keep_over: bool = True,
) -> dict[str, Any]:
    day = day_read(trackday)
    stored = plan_refresh(day=day)
    shown = read_round(day, person, slots_of(stored))
    given = request.POST if request.method == "POST" else request.GET
    round_shown = _stable(shown, wanted, given.get("shown", ""))
    in_hand = _in_hand(day, shown, wanted, keep_over=keep_over) or next(
        iter(round_shown.steps), None
    )
    return {
        "trackday": trackday,
        "now": clock.now(trackday),
        "round": shown,
        "own": shown.person == request.user,
        "card": card(in_hand, posted) if in_hand else None,
        "gone": wanted is not None and (in_hand is None or in_hand.task.id != wanted),
        "points": point_choices(),
        "verdicts": Verdict.choices,
        "skip_reasons": SKIP_REASONS,
        "rest": [step for step in round_shown.steps if not _is_same_task(step, in_hand)][
            :MOST_SHOWN
        ],
        "changes": round_shown.changes,
        "offer": offer_of(day, stored),
        "calls": calls_of(arrivals(day, slots_of(stored))),
        # What concerns one bike's book is the tuner's, on the board.
        "alerts": [alert for alert in alerts(day) if alert.stops or alert.entry_id is None],
        "absent": [bike for bike in day.bikes if bike.state == BikeState.NOT_ARRIVED],
        "offered": None if in_hand else _offered(day, stored, shown),
        "spare": shown.spare[:MOST_SHOWN],
        "soon": shown.soon[:MOST_SHOWN],
    }


def _offered(day: Day, stored: DayPlan | None, shown: Round) -> SpareWork | None:
    """What somebody with nothing open is offered: not the same as another with nothing open."""
    if shown.next is not None:
        return None
    return spare_work(day, stored, rounds(day, slots=slots_of(stored))).get(shown.person.pk)


def _in_hand(
    day: Day, shown: Round, wanted: uuid.UUID | None, *, keep_over: bool
) -> RoundTask | None:
    """The task asked for, with ``keep_over`` even one whose time has passed.

    What is done is not asked for again, but for a safety check that was not passed.
    """
    over = TaskState.MISSED if not keep_over else None
    if wanted is not None:
        for step in [*shown.now, *shown.spare]:
            if step.task.id == wanted:
                return step
        for bike in day.bikes:
            for task in bike.tasks:
                may_be = task.state in LATE_OR_EARLY and task.state != over
                if task.id == wanted and (may_be or to_do_again(task)):
                    return RoundTask(task, bike, day.at)
    return None


def _stable(shown: Round, wanted: uuid.UUID | None, given: str) -> StableRound:
    """The round below the task in hand, as the page had it, if it says what that was."""
    planned = [step for step in shown.now if step.task.id != wanted]
    before = [task for task in shown_tasks(given) if task != wanted]
    return stable_round(before, planned, shown.spare) if before else StableRound(planned)


def _is_same_task(step: RoundTask, other: RoundTask | None) -> bool:
    return other is not None and step.task.id == other.task.id


def _wanted(given: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(given)
    except ValueError:
        return None
