from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from jobs.people.enums import Role
from jobs.people.models import User

CREW_ROLES = [(r.value, r.label) for r in (Role.TUNER, Role.HELPER, Role.OFFICE)]


class CrewForm(forms.ModelForm[User]):
    """Somebody who works here. The password is set, never shown."""

    password = forms.CharField(
        required=False,
        label=_("New password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("Leave empty to keep the one there is."),
    )

    class Meta:
        model = User
        fields = ("first_name", "username", "role", "email", "is_active")
        labels = {
            "first_name": _("Name on screens"),
            "username": _("Name to sign in with"),
            "email": _("E-mail"),
            "is_active": _("May sign in"),
        }
        help_texts = {"username": "", "is_active": ""}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["role"] = forms.ChoiceField(choices=CREW_ROLES, label=_("Role"))
        self.fields["first_name"].required = True

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        password = data.get("password")
        if password:
            try:
                validate_password(password, self.instance)
            except forms.ValidationError as error:
                self.add_error("password", error)
        elif not self.instance.pk:
            self.add_error("password", _("Somebody new needs a password."))
        return data
