from typing import Any

from django.contrib import messages
from django.contrib.auth.forms import PasswordChangeForm, PasswordResetForm, SetPasswordForm
from django.contrib.auth.views import (
    PasswordChangeView,
    PasswordResetConfirmView,
    PasswordResetView,
)
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.outbox.mail_server import mail_is_set_up
from jobs.people import open_sessions, sign_in, throttle
from jobs.people.access import SignedIn
from jobs.people.addresses import address_of
from jobs.people.enums import OFFICE_ROLES, EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.passkeys import passkeys_of
from jobs.people.second_factor import factor_of
from jobs.people.services import edit_note
from jobs.people.trail import trail_note

from .forms import ForgottenForm, NewPasswordForm, OwnPasswordForm


@require_GET
@never_cache
def home(request: SignedIn) -> HttpResponse:
    """What opens one's own account, and how it is changed."""
    user = request.user
    factor, keys = factor_of(user), list(passkeys_of(user))
    context = {
        "has_password": user.has_usable_password(),
        "may_have_factor": user.role in OFFICE_ROLES,
        "factor": factor,
        "keys": keys,
        "is_on": bool(factor or keys),
        "sessions": open_sessions.sessions_of(user),
        "here": _key(request),
    }
    return render(request, "account/home.html", context)


@require_POST
def session_out(request: SignedIn, pk: int) -> HttpResponse:
    """Sign one of one's own browsers out."""
    if open_sessions.session_end(user=request.user, pk=pk):
        messages.success(request, _("That browser has to sign in again."))
    else:
        messages.error(request, _("That browser is signed out already."))
    return redirect("account:home")


@require_POST
def others_out(request: SignedIn) -> HttpResponse:
    """Sign out everywhere else."""
    open_sessions.sessions_end_others(user=request.user, but=_key(request))
    messages.success(request, _("All your other browsers have to sign in again."))
    return redirect("account:home")


@method_decorator(never_cache, name="dispatch")
class OwnPasswordView(PasswordChangeView):
    """A new password. It ends this person's sessions on all other browsers."""

    form_class = OwnPasswordForm
    template_name = "account/password.html"
    success_url = reverse_lazy("account:home")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        user = signed_in(self.request)
        return super().get_context_data(has_password=user.has_usable_password(), **kwargs)

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        with transaction.atomic():
            response = super().form_valid(form)
            user = signed_in(self.request)
            open_sessions.session_keep(self.request, user)  # it has a new key now
            open_sessions.sessions_end_others(user=user, but=_key(self.request))
            _note(user)
        messages.success(
            self.request, _("Your password is changed. Other browsers have to sign in again.")
        )
        return response


@method_decorator(never_cache, name="dispatch")
class ForgottenView(PasswordResetView):
    """Asks for a link by mail; without mail it says what to run on the server."""

    form_class = ForgottenForm
    template_name = "account/forgotten.html"
    success_url = reverse_lazy("signin")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(mail_is_set_up=mail_is_set_up(), **kwargs)

    def form_valid(self, form: PasswordResetForm) -> HttpResponse:
        if not mail_is_set_up():
            return self.render_to_response(self.get_context_data(form=form))
        try:
            address = address_of(self.request)
            throttle.take("asked for a link", address, tries=sign_in.ADDRESS_TRIES)
            throttle.take("asked for a link to", form.cleaned_data["email"].casefold())
        except throttle.TooManyTries as fault:
            form.add_error(None, fault)
            return self.form_invalid(form)
        messages.success(
            self.request,
            _("If somebody here has this address, a link is on its way. It opens for an hour."),
        )
        return super().form_valid(form)


@method_decorator(never_cache, name="dispatch")
class NewPasswordView(PasswordResetConfirmView):
    """What the link opens. Wrong tries of before do not count any more on this browser."""

    form_class = NewPasswordForm
    template_name = "account/new_password.html"
    success_url = reverse_lazy("signin")

    def form_valid(self, form: "SetPasswordForm[User]") -> HttpResponse:
        user = self.user
        assert isinstance(user, User)
        with transaction.atomic():
            super().form_valid(form)
            open_sessions.sessions_end_others(user=user, but="")
            _note(user)
        sign_in.forget(self.request, user.username)
        messages.success(self.request, _("Your new password is kept: sign in with it."))
        return redirect("signin")


def signed_in(request: HttpRequest) -> User:
    """Who is signed in; the access table let nobody else in."""
    assert isinstance(request.user, User)
    return request.user


def _key(request: HttpRequest) -> str:
    return request.session.session_key or ""


def _note(user: User) -> None:
    edit_note(by=user, verb=EditVerb.CHANGED, what="password", title=user.username, ref=user.pk)
    trail_note(TrailEvent.PASSWORD_SET, by=user, ref=user.pk)
