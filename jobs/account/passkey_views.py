"""One's own passkeys: named, added by the password and the key itself, removed by the password."""

from http import HTTPStatus

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.people import second_factor, sign_in
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.passkeys import LONGEST_NAME, host_of, passkey_add, passkey_ask_new, passkeys_of
from jobs.people.selectors import business_get, business_title
from jobs.people.services import edit_note
from jobs.people.trail import trail_note

from .second_views import codes_shown


@never_cache
def own(request: SignedIn) -> HttpResponse:
    """The list of keys; posting keeps the one that the browser has just made."""
    user = request.user
    if not user.has_usable_password():
        messages.error(request, _("A second factor needs a password first."))
        return redirect("account:home")
    if request.method != "POST":
        return _listed(request)
    try:
        with transaction.atomic():
            key = passkey_add(request, user=user, answer=request.POST.get("answer", ""))
            codes = second_factor.recovery_codes_make(user)
            _note(user, EditVerb.NEW, key.pk)
    except ValidationError as fault:
        return _listed(request, fault.messages[0])
    words = _("“%(name)s” is kept: a new browser asks for it.") % {"name": key.name}
    if codes:
        return codes_shown(request, codes, words)
    messages.success(request, words)
    return redirect("account:passkeys")


@require_POST
@never_cache
def ask_new(request: SignedIn) -> HttpResponse:
    """What the browser makes a key with; whoever found it signed in does not know the password."""
    user = request.user
    try:
        sign_in.own_password_confirm(user, request.POST.get("password", ""))
        name, business = request.POST.get("name", ""), business_title(business_get())
        asked = passkey_ask_new(request, user=user, name=name, business=business)
    except ValidationError as fault:
        return JsonResponse({"error": fault.messages[0]}, status=HTTPStatus.CONFLICT)
    return JsonResponse(asked)


@require_POST
@never_cache
def remove(request: SignedIn, pk: int) -> HttpResponse:
    """Remove one, by the password. A browser on which it was used asks again."""
    user = request.user
    try:
        sign_in.own_password_confirm(user, request.POST.get("password", ""))
    except ValidationError as fault:
        return _listed(request, fault.messages[0])
    with transaction.atomic():
        was_there = second_factor.passkey_forget(user=user, pk=pk)
        if was_there:
            _note(user, EditVerb.REMOVED, pk)
    if was_there:
        messages.success(request, _("The key is removed. Delete it on your device too."))
    else:
        messages.error(request, _("That key was removed already."))
    return redirect("account:passkeys")


def _listed(request: HttpRequest, error: str = "") -> HttpResponse:
    assert isinstance(request.user, User)
    context = {
        "keys": passkeys_of(request.user),
        "host": host_of(request),
        "longest": LONGEST_NAME,
        "error": error,
    }
    return render(request, "account/passkeys.html", context)


def _note(user: User, verb: EditVerb, pk: int) -> None:
    edit_note(by=user, verb=verb, what="passkey", title=user.username, ref=pk)
    event = TrailEvent.PASSKEY_ADDED if verb == EditVerb.NEW else TrailEvent.PASSKEY_REMOVED
    trail_note(event, by=user, ref=pk)
