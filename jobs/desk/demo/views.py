"""The doors of the demo. Their addresses exist with DEMO=1 only (``paddock/urls.py``)."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.people import open_sessions

from . import doors
from .play import MOMENTS


def offered() -> dict[str, Any] | None:
    """For the page where one signs in; None without doors."""
    if not doors.are_there():
        return None
    return {"people": doors.people(), "moments": MOMENTS}


@require_POST
def enter(request: HttpRequest) -> HttpResponse:
    """Sign in as one of the demo's people."""
    user = doors.user_behind(request.POST.get("who", "")) if doors.are_there() else None
    if user is None:
        raise Http404
    open_sessions.enter(request, user)
    return redirect("home")


@require_POST
def load(request: HttpRequest) -> HttpResponse:
    """Begin to load a moment, and show how far it is."""
    if not doors.are_there():
        raise Http404
    if not doors.loading.start(request.POST.get("moment", "")):
        messages.info(request, _("A moment is being loaded already."))
    return redirect("demo:loading")


@require_GET
@never_cache
def loading(request: HttpRequest) -> HttpResponse:
    """How far it is, asked every second; then back to where one signs in."""
    if not doors.are_there():
        raise Http404
    now = doors.loading
    if now.moment:
        name = "progress" if request.headers.get("HX-Request") else "loading"
        return render(request, f"desk/demo/{name}.html", {"loading": now})
    if now.fault:
        messages.error(request, now.fault)
    if request.headers.get("HX-Request"):
        return HttpResponse(headers={"HX-Redirect": reverse("signin")})
    return redirect("signin")
