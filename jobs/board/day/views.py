"""The day board, its fragment, and the one address its taps are posted to."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.people.enums import CREW
from jobs.trackday import clock
from jobs.trackday.models import Trackday
from jobs.trackday.selectors import event_days, trackday_at_hand
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_keep

from ..taken import not_kept, photo_taken
from .cached import fragment_kept
from .delays import TAPS
from .gate import trackday_or_404
from .shown import board

# What a form carries beside the payload of its act; browsers post an empty file as a field.
NOT_PAYLOAD = ("csrfmiddlewaretoken", "act_id", "kind", "next", "photo")


def today(request: SignedIn) -> HttpResponse:
    trackday = trackday_at_hand()
    if trackday is None:
        return render(request, "board/day/none.html")
    return redirect("board:day", trackday.pk)


def day(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "event_days": event_days(trackday),
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
    """One act, then back to where it was tapped; the board answers with itself."""
    trackday = trackday_or_404(trackday_id)
    payload = {k: v for k, v in request.POST.items() if k not in NOT_PAYLOAD}
    try:
        payload |= {"photo": taken} if (taken := photo_taken(request)) else {}
    except ValidationError as error:  # what it was to show stands without it
        messages.warning(request, not_kept(" ".join(error.messages)))
    act_from_form(request, kind=request.POST.get("kind", ""), payload=payload, trackday=trackday)
    target = request.POST.get("next", "")
    if target and url_has_allowed_host_and_scheme(
        target, {request.get_host()}, request.is_secure()
    ):
        return redirect(target)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("board:day", trackday_id)
    shown = board_fragment(request, trackday_or_404(trackday_id))
    return HttpResponse(shown + render_to_string("notices.html", request=request))


def board_fragment(request: SignedIn, trackday: Trackday) -> SafeString:
    """The board below its head; the crew has taps on it, the office looks on."""
    crew = request.user.role in CREW
    return fragment_kept(
        f"board-{crew}",
        trackday,
        lambda: _board(trackday, crew),
    )


def _board(trackday: Trackday, crew: bool) -> str:
    read = day_read(trackday)
    context = {"board": board(read, plan_keep(day=read)), "crew": crew, "delays": TAPS}
    return render_to_string("board/day/board.html", context)
