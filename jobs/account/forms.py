from typing import Any

from django import forms
from django.contrib.auth.forms import (
    AuthenticationForm,
    PasswordChangeForm,
    PasswordResetForm,
    SetPasswordForm,
)
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.outbox.services import job_enqueue
from jobs.people import sign_in
from jobs.people.enums import STAFF
from jobs.people.form_fields import PASSWORD_HELP
from jobs.people.models import User
from jobs.people.one_hash import TooManyHashes
from jobs.people.throttle import TooManyTries


class SignInForm(AuthenticationForm):
    """Name and password, each try counted before the password is hashed."""

    wait_s = 0  # how long to wait before the next try is judged

    def clean(self) -> dict[str, Any]:
        username = self.cleaned_data.get("username")
        if username is None or not self.cleaned_data.get("password"):
            return self.cleaned_data
        assert self.request is not None
        try:
            one = sign_in.begin(self.request, username)
        except TooManyTries as fault:
            self.wait_s = fault.seconds
            raise
        try:
            cleaned: dict[str, Any] = super().clean()
        except TooManyHashes:
            one.not_judged()
            raise
        except ValidationError:
            one.wrong()
            raise
        one.right()
        return cleaned


class OwnPasswordForm(PasswordChangeForm):
    """The password there is, and a new one typed once: it can be shown while it is typed."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old_password"].label = _("The password you have")
        _new_password_words(self.fields)

    def clean_old_password(self) -> str:
        password: str = self.cleaned_data["old_password"]
        sign_in.own_password_confirm(self.user, password)
        return password


class ForgottenForm(PasswordResetForm):
    """The address a link goes to. The answer is the same whether anybody has it or not."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].label = _("Your e-mail address")

    def save(self, *args: Any, **kwargs: Any) -> None:
        users = self.get_users(self.cleaned_data["email"])
        staff: list[int | None] = [
            user.pk for user in users if isinstance(user, User) and user.role in STAFF
        ]
        # Work for nobody where nobody has it: how long the answer takes tells no difference.
        for pk in staff or [None]:
            job_enqueue(handler="account.reset_mail", payload={"user": pk})


class NewPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _new_password_words(self.fields)


def _new_password_words(fields: dict[str, forms.Field]) -> None:
    fields["new_password1"].label = _("New password")
    fields["new_password1"].help_text = PASSWORD_HELP
    fields["new_password2"].label = _("New password again")
    fields["new_password2"].help_text = ""
