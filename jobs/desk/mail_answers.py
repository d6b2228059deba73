"""What the desk says when it has sent a letter: honest where no mail is set up."""

from django.contrib import messages
from django.http import HttpRequest
from django.utils.translation import gettext as _

from jobs.outbox.mail_server import mail_is_set_up


def letter_said(request: HttpRequest, *, to: str, sent: str) -> None:
    """``sent`` in words where mail leaves this machine, else that the letter is only kept."""
    if mail_is_set_up():
        messages.success(request, sent)
        return
    words = _(
        "Mail is not set up, so nothing goes out to %(to)s. The letter stands under Mail: hand it "
        "over from there."
    )
    messages.warning(request, words % {"to": to})
