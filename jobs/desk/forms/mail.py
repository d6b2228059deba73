import re
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.outbox.enums import USUAL_PORTS, Encryption
from jobs.outbox.mail_password import password_of
from jobs.outbox.models import MailAccount

A_HOST = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.:-]*[A-Za-z0-9])?")
IS_KEPT = gettext_lazy("One is kept, and shown to nobody. Left out: it stays.")
AT_HOME = {"127.0.0.1", "localhost", "::1"}


class TestLetterForm(forms.Form):
    """Where the environment names the mail server, all there is to do on screen is to try it."""

    to = forms.EmailField(label=gettext_lazy("Send a test letter to"))


class MailServerForm(forms.ModelForm[MailAccount]):
    """The mail server. Its password goes in and never comes out again."""

    port = forms.IntegerField(
        required=False, min_value=1, max_value=65535, label=gettext_lazy("Port"),
        help_text=gettext_lazy("Left out: the usual one of the encryption"),
    )  # fmt: skip
    password = forms.CharField(
        required=False, max_length=500, strip=False, label=gettext_lazy("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    to = forms.EmailField(label=gettext_lazy("Send a test letter to"))

    class Meta:
        model = MailAccount
        fields = ("sender", "host", "encryption", "port", "user")
        labels = {
            "sender": gettext_lazy("Sender"),
            "host": gettext_lazy("Mail server"),
            "encryption": gettext_lazy("Encryption"),
            "user": gettext_lazy("User"),
        }
        help_texts = {
            "sender": gettext_lazy("Your address, as customers see it"),
            "host": gettext_lazy("Your mail provider names it, such as smtp.example.org"),
            "user": gettext_lazy("Left out: the sender's address"),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kept_for = self.instance.server
        if password_of(self.kept_for):
            self.fields["password"].help_text = IS_KEPT
        for name in ("host", "user"):
            self.fields[name].widget.attrs |= {"autocapitalize": "none", "spellcheck": "false"}

    def clean_host(self) -> str:
        host: str = self.cleaned_data["host"].strip()
        if not A_HOST.fullmatch(host):
            raise forms.ValidationError(_("The name of a server only, such as smtp.example.org."))
        return host

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            return data
        data["port"] = data["port"] or USUAL_PORTS[Encryption(data["encryption"])]
        if data["password"] and not data["user"]:
            data["user"] = data["sender"]
        if not f"{data['user']}{data['password']}".isascii():
            self.add_error("password", _("Mail servers take only ASCII letters in it."))
        if data["user"] and data["encryption"] == Encryption.NONE and data["host"] not in AT_HOME:
            self.add_error(
                "encryption", _("Without encryption the password can be read on its way.")
            )
        return data

    def _post_clean(self) -> None:
        """After the row has its new values: whether a password is here for that very server."""
        super()._post_clean()  # type: ignore[misc]
        if self.errors or not self.instance.user or self.cleaned_data["password"]:
            return
        if not password_of(self.instance.server):
            self.add_error("password", self._why_again())

    def _why_again(self) -> str:
        if password_of(self.kept_for):
            return _("It is kept for the server and user before, and given to no other: type it.")
        return _("Type the password of this user. Is none asked for, leave the user out too.")
