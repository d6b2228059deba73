"""The day's tools: timetable, weather, crew, walk-ups. Each is one page and one act."""

from contextlib import suppress
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from jobs.acts.enums import Outcome
from jobs.acts.models import Act
from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.trackday.enums import SessionState
from jobs.trackday.models import CrewDay, Trackday
from jobs.trackday.selectors import trackday_times
from jobs.worklist.selectors import day_read
from jobs.worklist.untested_sessions import untested_sessions

from .crew_forms import CrewTimesForm, LunchesForm, crew_absent
from .forms import ConditionsForm, LunchForm, SessionAddForm, WalkUpForm
from .trackday_lookup import trackday_or_404


def timetable(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Every session, planned and expected, with the taps that belong to its state."""
    trackday = trackday_or_404(trackday_id)
    which = request.POST.get("form", "")
    added = SessionAddForm(request.POST if which == "session" else None, trackday=trackday)
    lunch = LunchForm(
        request.POST if which == "lunch" else None, trackday=trackday, initial=_lunch(trackday)
    )
    for name, kind in (("session", "session added"), ("lunch", "lunch")):
        if which == name and _done(request, kind, trackday):
            return redirect("board:timetable", trackday_id)
    day = day_read(trackday)
    context = {
        **_frame(trackday),
        "times": day.times,
        "planned": [t for t in day.times if t.state == SessionState.PLANNED],
        "delays": trackday.delays.select_related("by").filter(withdrawn_at=None),
        "added": added,
        "lunch": lunch,
        "untested": {one.times.session.pk for one in untested_sessions(day)},
        "beyond": {t.session.pk for t in day.expected.beyond_close},
    }
    return render(request, "board/day/timetable.html", context)


def conditions(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    if request.method == "POST" and _accepted(_done(request, "conditions", trackday)):
        return redirect("board:day", trackday_id)
    form = ConditionsForm(request.POST or None)
    rows = trackday.conditions.select_related("by").filter(withdrawn_at=None)
    context = {**_frame(trackday), "form": form, "rows": list(rows)[::-1]}
    return render(request, "board/day/conditions.html", context)


def crew(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Who is here, from when to when, and everybody's lunch."""
    trackday = trackday_or_404(trackday_id)
    who, now = request.POST.get("member", ""), clock.now(trackday)
    here = [
        (member, CrewTimesForm(request.POST if who == str(member.pk) else None, member=member))
        for member in trackday.crew.select_related("user", "trackday__venue")
    ]
    lunches = LunchesForm(
        request.POST if who == "lunches" else None,
        trackday=trackday,
        lunch=trackday_times(trackday).lunch,
    )
    kind = "lunches" if who == "lunches" else "crew times"
    if request.method == "POST" and _done(request, kind, trackday):
        return redirect("board:crew", trackday_id)
    context = {
        **_frame(trackday),
        "here": [(member, form, _has_left(member, now)) for member, form in here],
        "lunches": lunches,
        "absent": crew_absent(trackday, now),
    }
    return render(request, "board/day/crew.html", context)


def _has_left(member: CrewDay, now: datetime) -> bool:
    return member.leaves_at is not None and member.leaves_at <= now


def walk_up(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    if request.method == "POST" and (act := _accepted(_done(request, "walk-up", trackday))):
        return redirect("board:work", trackday_id, act.answer["entry"])
    form = WalkUpForm(request.POST or None, trackday=trackday)
    return render(request, "board/day/walk_up.html", {**_frame(trackday), "form": form})


def _done(request: SignedIn, kind: str, trackday: Trackday) -> Act | None:
    """The act of the form that was posted; None when it could not be read: then it says why."""
    with suppress(ValidationError):
        about = {"trackday": trackday.pk}
        return act_from_form(request, kind=kind, about=about, trackday=trackday)
    return None


def _accepted(act: Act | None) -> Act | None:
    """The act, unless it was refused: then the form stays as it was filled in."""
    return None if act is None or act.outcome == Outcome.REFUSED else act


def _frame(trackday: Trackday) -> dict[str, Any]:
    return {"trackday": trackday, "now": clock.now(trackday)}


def _lunch(trackday: Trackday) -> dict[str, Any]:
    if trackday.lunch_from is None or trackday.lunch_to is None:
        return {}
    zone = clock.local(trackday, trackday.lunch_from).tzinfo
    return {
        "start": timezone.localtime(trackday.lunch_from, zone).time(),
        "end": timezone.localtime(trackday.lunch_to, zone).time(),
        "least_minutes": trackday.lunch_least_minutes,
    }
