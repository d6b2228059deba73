"""Online forms post their acts through the same door as tablets."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.people.devices import device_of
from jobs.people.models import Device
from jobs.trackday.models import Trackday

from .enums import Outcome
from .models import Act
from .services import act_apply
from .tablets import COOKIE, sent_act_apply

LEVELS = {
    Outcome.APPLIED: messages.SUCCESS,
    Outcome.UNPLACED: messages.WARNING,
    Outcome.REFUSED: messages.ERROR,
}


def act_from_form(
    request: SignedIn, *, kind: str, payload: dict[str, Any], trackday: Trackday | None = None
) -> Act:
    """Apply the act a form posts and tell the person what became of it.

    The form's hidden ``act_id`` is filled by the browser (acts.js); without scripts the
    server makes one, and only the protection against a double tap is lost. The answer is
    added to the messages, which base.html (or the answering fragment) shows.
    """
    sent = getattr(request, "sent_act", None)
    if sent is not None:  # a tablet's queue: with its own clock, order and author
        act = sent_act_apply(sent, kind=kind, payload=payload, trackday=trackday)
    else:
        act = act_apply(
            act_id=_form_id(request),
            kind=kind,
            payload=payload,
            by=request.user,
            trackday=trackday,
            device=_device(request),
        )
    messages.add_message(request, LEVELS[Outcome(act.outcome)], act.answer["text"])
    return act


def _device(request: SignedIn) -> Device | None:
    """The enrolled tablet a form was posted on; any other browser is none."""
    cookie = request.COOKIES.get(COOKIE, "")
    return device_of(cookie=cookie) if cookie else None


def _form_id(request: SignedIn) -> uuid.UUID:
    given = request.POST.get("act_id", "")
    if not given:
        return uuid.uuid4()
    try:
        return uuid.UUID(given)
    except ValueError as error:
        raise ValidationError(_("The id of this act could not be read.")) from error
