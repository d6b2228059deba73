"""The mail with the link to a new password."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, override

from jobs.outbox.mail_server import letter_send, mail_is_set_up, server_to_send_by
from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish, JobInput, handler
from jobs.people.models import User
from jobs.people.selectors import business_get, business_title

from .reset_links import reset_link


@handler("account.reset_mail", queue=Queue.MAIL, words=gettext_lazy("a mail for a new password"))
def reset_mail(job: JobInput) -> Finish | None:
    """Make the link when it is sent. It is kept nowhere: who reads the desk's mails, or a
    backup, must not find a way into somebody else's account there."""
    user = User.objects.filter(pk=job.payload["user"], is_active=True).exclude(email="").first()
    if user is None or not mail_is_set_up():
        return None
    with override(user.language or business_get().language):
        subject, text = _letter(user)
    letter_send(server=server_to_send_by(), to=user.email, subject=subject, text=text)
    return None


def _letter(user: User) -> tuple[str, str]:
    """Its subject and its text, in the language that is active."""
    business = business_title(business_get())
    words = _(
        "Somebody, we hope you, asked for a new password for “%(name)s” at %(business)s.\n\n"
        "Set it here, within an hour; the address works once:\n%(link)s\n\n"
        "If it was not you, do nothing: the password stays as it is.\n"
    )
    text = words % {"name": user.username, "business": business, "link": reset_link(user)}
    subject = " ".join((_("A new password at %(business)s") % {"business": business}).split())
    return subject, text
