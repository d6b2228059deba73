"""Addresses for tablets: who has the tablet, what it keeps, and the acts of its queue."""

from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_GET, require_POST

from jobs.acts import tablets
from jobs.acts.web import act_from_form
from jobs.people import devices
from jobs.people.access import SignedIn
from jobs.people.addresses import address_of
from jobs.people.enums import CREW
from jobs.people.models import Device, User
from jobs.people.open_sessions import enter
from jobs.people.typed import whole_number
from jobs.trackday.at_hand import own_trackday

from . import day, kept_act

COOKIE_AGE_S = 400 * 24 * 60 * 60  # the longest browsers keep one


@require_GET
@ensure_csrf_cookie
def home(request: HttpRequest) -> HttpResponse:
    """This tablet: enrol it, say who has it, see what has not been sent. Works offline."""
    try:
        device = tablets.device_read(request)
    except tablets.DeviceLost:
        device = None
    crew = devices.crew_with_pin() if device else []
    return render(request, "tablet/home.html", {"device": device, "crew": crew})


@require_GET
@never_cache
def hello(request: HttpRequest) -> HttpResponse:
    """Asked before every sending: the server's time, a fresh token, who is who."""
    try:
        device = tablets.device_read(request)
    except tablets.DeviceLost:
        return JsonResponse({"shut_out": True}, status=410)
    if device is not None:
        devices.device_seen(device=device)
    user = request.user if isinstance(request.user, User) else None
    return JsonResponse(
        {
            "now": datetime.now(UTC).isoformat(),
            "csrf": get_token(request),
            "device": {"id": str(device.pk), "name": device.name} if device else None,
            "user": _person(user) if user else None,
            "next_seq": tablets.next_seq(device) if device else None,
            "day": day.day_named(own_trackday(request)) if user else None,
        }
    )


@require_POST
def act(request: SignedIn) -> HttpResponse:
    """One act of a tablet's queue: its kind, the version of its form's fields, and these.

    The answer is given in words by the middleware that read its headers (jobs/acts).
    """
    sent: tablets.SentAct | None = getattr(request, "sent_act", None)
    if sent is None:
        raise BadRequest("this address takes acts of a tablet's queue")
    sent.kept = kept_act.read(request.POST.get("act", ""))
    act_from_form(
        request,
        kind=sent.kept["kind"],
        version=sent.kept["version"],
        fields=kept_act.fields(sent.kept),
        trackday=kept_act.trackday(sent.kept),
    )
    return HttpResponse(status=HTTPStatus.NO_CONTENT)


@require_GET
@never_cache
def pages(request: SignedIn) -> HttpResponse:
    """The addresses of the pages that a tablet keeps for use without network."""
    return JsonResponse(day.pages_of(own_trackday(request)))


@require_POST
def enrol(request: HttpRequest) -> HttpResponse:
    try:
        device, secret = devices.device_enrol(
            code=request.POST.get("code", ""), where_from=address_of(request)
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("tablet:home")
    response: HttpResponseRedirect = redirect("tablet:home")
    response.set_cookie(
        tablets.COOKIE,
        f"{device.pk}.{secret}",
        max_age=COOKIE_AGE_S,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
    )
    return response


@require_POST
def pin(request: HttpRequest) -> HttpResponse:
    """Name and PIN on an enrolled tablet: signed in here, with a pass for acts sent later."""
    device = _device(request)
    if device is None:
        return _refused(_("This tablet is not enrolled."), 403)
    user = get_object_or_404(User, pk=whole_number(request.POST.get("user")), role__in=CREW)
    try:
        devices.pin_check(user=user, pin=request.POST.get("pin", ""), device=device)
    except ValidationError as error:
        return _refused(" ".join(error.messages), 400)
    enter(request, user)
    return JsonResponse(_person(user) | {"pass": devices.pass_make(user=user, device=device)})


@require_POST
def switch(request: HttpRequest) -> HttpResponse:
    """Somebody who signed in today takes the tablet over, by their pass."""
    device = _device(request)
    token = request.POST.get("pass", "")
    user = devices.pass_user(token=token, device=device) if device else None
    if user is None:
        return _refused(_("Please sign in again."), 401)
    if request.user != user:
        enter(request, user)
    return JsonResponse(_person(user))


def prepare(request: SignedIn) -> HttpResponse:
    """A code for a new tablet, shown once."""
    name = " ".join(request.POST.get("name", "").split())[:60]
    context: dict[str, Any] = {"minutes": devices.CODE_LIFETIME.seconds // 60}
    if request.method == "POST" and name:
        device, code = devices.device_prepare(name=name, by=request.user)
        context |= {"device": device, "code": code, "address": settings.PUBLIC_URL}
    elif request.method == "POST":
        context["error"] = _("Give the tablet a name, such as the colour of its case.")
    return render(request, "tablet/prepare.html", context)


def pins(request: SignedIn) -> HttpResponse:
    """The PINs helpers sign in with."""
    crew = devices.crew()
    if request.method == "POST":
        user = get_object_or_404(crew, pk=whole_number(request.POST.get("user")))
        try:
            devices.pin_set(user=user, pin=request.POST.get("pin", ""), by=request.user)
        except ValidationError as error:
            messages.error(request, f"{user.display_name}: {' '.join(error.messages)}")
        else:
            messages.success(request, _("%(name)s has a new PIN.") % {"name": user.display_name})
        return redirect("tablet:pins")
    return render(request, "tablet/pins.html", {"crew": crew})


def _device(request: HttpRequest) -> Device | None:
    try:
        return tablets.device_read(request)
    except tablets.DeviceLost:
        return None


def _person(user: User) -> dict[str, Any]:
    return {"id": user.pk, "username": user.username, "name": user.display_name, "role": user.role}


def _refused(words: str, status: int) -> JsonResponse:
    return JsonResponse({"error": words}, status=status)
