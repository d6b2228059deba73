"""The second factor: asked for after the password on a new browser, switched on and off."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from typing import Any

import segno
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.people import second_factor, sign_in
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.open_sessions import enter
from jobs.people.passkeys import host_of, passkey_ask, passkey_check, passkeys_of
from jobs.people.selectors import business_get, business_title
from jobs.people.services import edit_note
from jobs.people.trail import trail_note
from jobs.people.typed import redirect_within

WAITING = "second-step"  # the key in the session
LIFETIME = timedelta(minutes=10)


def step_asked(request: HttpRequest, user: User, target: str) -> HttpResponse | None:
    """The redirect to the second step, where this browser has to take it; nobody is in yet."""
    marks = second_factor.marks_of(user)
    if not marks or any(sign_in.is_known(request, mark) for mark in marks):
        return None
    request.session.cycle_key()
    request.session[WAITING] = {
        "user": user.pk,
        "hash": user.get_session_auth_hash(),  # a new password ends it
        "until": (datetime.now(UTC) + LIFETIME).timestamp(),
        "target": target,
    }
    return redirect("account:second")


@never_cache
def second(request: HttpRequest) -> HttpResponse:
    """The second step: a passkey, a code of the app, or a recovery code."""
    user = _waiting(request)
    if user is None:
        return redirect("signin")
    error = ""
    if request.method == "POST":
        try:
            mark = _proved(request, user)
        except ValidationError as fault:
            error = fault.messages[0]
        else:
            return _signed_in(request, user, mark)
    context = {
        "error": error,
        "has_app": second_factor.factor_of(user) is not None,
        "has_key": passkeys_of(user).filter(host=host_of(request)).exists(),
    }
    return render(request, "account/second.html", context)


def _proved(request: HttpRequest, user: User) -> str:
    """What this browser is to remember. Raises ValidationError in words for a wrong answer."""
    if answer := request.POST.get("answer", ""):
        return passkey_check(request, user=user, answer=answer).mark
    second_factor.code_check(user=user, code=request.POST.get("code", ""))
    return next(iter(second_factor.marks_of(user)), "")


@require_POST
@never_cache
def second_key(request: HttpRequest) -> HttpResponse:
    """What the browser asks a passkey at the second step."""
    user = _waiting(request)
    try:
        if user is None:
            raise ValidationError(_("Please enter your password again."))
        return JsonResponse(passkey_ask(request, user=user))
    except ValidationError as fault:
        return JsonResponse({"error": fault.messages[0]}, status=HTTPStatus.CONFLICT)


def _waiting(request: HttpRequest) -> User | None:
    """Who gave the right password on this browser within the last minutes."""
    kept = request.session.get(WAITING)
    if not kept or kept["until"] < datetime.now(UTC).timestamp():
        return None
    user = User.objects.filter(pk=kept["user"], is_active=True).first()
    return user if user and user.get_session_auth_hash() == kept["hash"] else None


def _signed_in(request: HttpRequest, user: User, mark: str) -> HttpResponse:
    target = request.session.pop(WAITING)["target"]
    enter(request, user)
    response = redirect_within(request, target, "home")
    sign_in.remember(request, response, user, mark)
    return response


@never_cache
def own(request: SignedIn) -> HttpResponse:
    """Switch the app's codes on, with the one it shows; then the recovery codes, once."""
    user, error = request.user, ""
    if second_factor.factor_of(user):
        return render(request, "account/second_factor.html", {"is_on": True})
    if not user.has_usable_password():
        messages.error(request, _("A second factor needs a password first."))
        return redirect("account:home")
    if request.method == "POST":
        try:
            codes = second_factor.factor_confirm(user=user, code=request.POST.get("code", ""))
        except ValidationError as fault:
            error = fault.messages[0]
        else:
            _note(user, EditVerb.NEW)
            return codes_shown(request, codes, _("The app's codes are asked for from now on."))
    factor = second_factor.factor_prepare(user=user)
    business = business_title(business_get())
    context: dict[str, Any] = {
        "secret": factor.secret,
        "qr": _drawn(second_factor.address_for_app(factor, business=business)),
        "error": error,
    }
    return render(request, "account/second_factor.html", context)


@require_POST
@never_cache
def off(request: SignedIn) -> HttpResponse:
    """Switch the app's codes off, by the password."""
    try:
        sign_in.own_password_confirm(request.user, request.POST.get("password", ""))
    except ValidationError as fault:
        context = {"is_on": True, "error": fault.messages[0]}
        return render(request, "account/second_factor.html", context)
    with transaction.atomic():
        if second_factor.factor_switch_off(user=request.user):
            _note(request.user, EditVerb.REMOVED)
    messages.success(request, _("The app's codes are not asked for any more."))
    return redirect("account:home")


def codes_shown(request: HttpRequest, codes: list[str], words: str) -> HttpResponse:
    """The recovery codes, this once; without new ones back to the account."""
    if not codes:
        messages.success(request, words)
        return redirect("account:home")
    return render(request, "account/recovery_codes.html", {"codes": codes, "words": words})


def _drawn(words: str) -> SafeString:
    code = segno.make_qr(words, error="m", boost_error=False)
    svg = code.svg_inline(border=4, dark="#000", light="#fff", omitsize=True, svgclass="code")
    return mark_safe(svg)  # noqa: S308  drawn by segno from an address of our own


def _note(user: User, verb: EditVerb) -> None:
    edit_note(by=user, verb=verb, what="second factor", title=user.username, ref=user.pk)
    event = TrailEvent.FACTOR_ON if verb == EditVerb.NEW else TrailEvent.FACTOR_OFF
    trail_note(event, by=user, ref=user.pk)
