"""The mail server as the desk and the beginning set it, and the test letter that tries it."""

from dataclasses import dataclass
from typing import Any, cast

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import BaseForm
from django.http import HttpRequest
from django.utils.translation import gettext as _

from jobs.desk.forms.mail import IS_KEPT, MailServerForm, TestLetterForm
from jobs.outbox.mail_refusals import MailRefused
from jobs.outbox.mail_server import (
    MailServer,
    account_get,
    by_environment,
    is_proven,
    letter_send,
    server_now,
)
from jobs.outbox.models import MailAccount
from jobs.outbox.services import mail_account_keep, mail_server_proven
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.selectors import business_get, business_title
from jobs.people.services import edit_note
from jobs.people.trail import trail_note


@dataclass(frozen=True)
class MailSaid:
    """What a page says of the mail server."""

    account: MailAccount
    server: MailServer | None
    is_proven: bool
    by_environment: bool
    sender_by_environment: str
    is_demo: bool

    @property
    def may_be_set(self) -> bool:
        return not (self.by_environment or self.is_demo)

    @property
    def is_set_up(self) -> bool:
        return self.by_environment or self.is_proven


def mail_said() -> MailSaid:
    """One query."""
    account = account_get()
    return MailSaid(
        account, server_now(account), is_proven(account), by_environment(),
        settings.MAIL_FROM, settings.DEMO,
    )  # fmt: skip


def mail_form(data: Any, by: User) -> BaseForm:
    """What can be set: everything, or where MAIL_URL is set only who gets the test letter."""
    account = account_get()
    own = business_get().email or by.email
    if by_environment():
        return TestLetterForm(data, initial={"to": own})
    initial = {"to": own, "sender": account.sender or own}
    return MailServerForm(data, instance=account, initial=initial)


@transaction.atomic
def mail_form_keep(form: BaseForm, by: User) -> None:
    """Keep what was set. The test letter is sent afterwards, outside of this transaction."""
    if not isinstance(form, MailServerForm):
        return
    if settings.DEMO:
        raise ValidationError(_("The demo sends nothing: no mail server can be set here."))
    account = form.instance
    mail_account_keep(account=account, password=form.cleaned_data["password"])
    shown = [name for name in form.changed_data if name not in ("to", "password")]
    if shown or form.cleaned_data["password"]:
        edit_note(
            by=by, verb=EditVerb.CHANGED, what=str(account._meta.verbose_name),
            title=account.host,
            changes={n: [str(form.initial.get(n) or ""), str(getattr(account, n))] for n in shown},
        )  # fmt: skip
        trail_note(TrailEvent.MAIL_SERVER_CHANGED, by=by, ref=account.pk)


def letter_tried(request: HttpRequest, form: BaseForm) -> bool:
    """Send the test letter now. False: the form says why the mail server refused it."""
    server = cast("MailServer", server_now(account_get()))
    name = business_title(business_get())
    to = form.cleaned_data["to"]
    try:
        letter_send(
            server=server,
            to=to,
            subject=_("A test letter from %(business)s") % {"business": name},
            text=_("Mail works: this is what customers' letters come by.\n\n%(business)s\n")
            % {"business": name},
        )
    except MailRefused as refused:
        form.add_error(None, str(refused))
        if "password" in form.fields and server.password:
            form["password"].help_text = IS_KEPT
        return False
    mail_server_proven(server=server)
    messages.success(
        request,
        _("%(host)s took the test letter to %(to)s. Look whether it arrived.")
        % {"host": server.host, "to": to},
    )
    return True
