"""What the desk says when it has sent a letter: honest where no mail is set up."""

from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest
from django.utils.translation import gettext as _

from jobs.outbox.mail_server import mail_is_set_up
from jobs.serving.names import is_near, is_this_machine


def letter_said(request: HttpRequest, *, to: str, sent: str) -> None:
    """``sent`` in words where mail leaves this machine, else that the letter is only kept."""
    if mail_is_set_up():
        messages.success(request, sent)
        if limit := link_opens_where():
            messages.warning(request, limit)
        return
    words = _(
        "Mail is not set up, so nothing goes out to %(to)s. The letter stands under Mail: hand it "
        "over from there."
    )
    messages.warning(request, words % {"to": to})


def link_opens_where() -> str:
    """What a link that is given to a customer lacks, in words; empty if it opens anywhere."""
    host = urlsplit(settings.PUBLIC_URL).hostname or ""
    if is_this_machine(host):
        words = _(
            "The link begins with %(url)s and opens on this computer only. For customers to open "
            "it, set PUBLIC_URL (README, Settings)."
        )
    elif is_near(host):
        words = _(
            "The link begins with %(url)s and opens only in the van's own network: let customers "
            "open it there."
        )
    else:
        return ""
    return words % {"url": settings.PUBLIC_URL}
