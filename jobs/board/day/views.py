"""The day board, its fragment, and the one address its taps are posted to."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.people.enums import CREW
from jobs.people.typed import redirect_within
from jobs.trackday import clock
from jobs.trackday.at_hand import CHOSEN, days_at_hand
from jobs.trackday.models import Trackday
from jobs.trackday.selectors import event_days
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh

from .delays import TAPS
from .fragment_cache import cached_fragment
from .presenter import board
from .trackday_lookup import trackday_or_404


def today(request: SignedIn) -> HttpResponse:
    """The person's own day; who has several on one date, or is crew of none of them, is asked."""
    days = days_at_hand(request.user.pk)
    chosen = next((day for day in days if day.pk == request.session.get(CHOSEN)), None)
    if not days:
        return render(request, "board/day/none.html")
    if len(days) > 1 and chosen is None:
        return render(request, "board/day/choose.html", {"days": days})
    return redirect("board:day", (chosen or days[0]).pk)


@require_POST
def choose(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Keep, until this person signs out, which of several days of one date is theirs."""
    request.session[CHOSEN] = trackday_or_404(trackday_id).pk
    return redirect("board:day", trackday_id)


def day(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "event_days": event_days(trackday),
        "days_at_hand": days_at_hand(request.user.pk),
        "crew": request.user.role in CREW,
        "delays": TAPS,
    }
    return render(
        request, "board/day/day.html", {**context, "board": board_fragment(request, trackday)}
    )


def fragment(request: SignedIn, trackday_id: int) -> HttpResponse:
    return HttpResponse(board_fragment(request, trackday_or_404(trackday_id)))


@require_POST
def do(request: SignedIn, trackday_id: int) -> HttpResponse:
    """Apply one act, then return to the page it came from; the board gets its new fragment."""
    trackday = trackday_or_404(trackday_id)
    try:
        act_from_form(request, kind=request.POST.get("kind", ""), trackday=trackday)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    target = request.POST.get("next", "")
    if target or not request.htmx:  # type: ignore[attr-defined]
        return redirect_within(request, target, "board:day", trackday_id)
    shown = board_fragment(request, trackday_or_404(trackday_id))
    return HttpResponse(shown + render_to_string("notices.html", request=request))


def board_fragment(request: SignedIn, trackday: Trackday) -> SafeString:
    """The board without the page around it; the crew gets buttons, the office none."""
    crew = request.user.role in CREW
    return cached_fragment(
        f"board-{crew}",
        trackday,
        lambda: _board(trackday, crew),
    )


def _board(trackday: Trackday, crew: bool) -> str:
    read = day_read(trackday)
    context = {"board": board(read, plan_refresh(day=read)), "crew": crew, "delays": TAPS}
    return render_to_string("board/day/board.html", context)
