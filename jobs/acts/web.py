"""A page's form of an act: read into its payload and applied."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.people.devices import device_of
from jobs.people.models import Device
from jobs.people.typed import whole_number
from jobs.trackday.models import Trackday

from .enums import Outcome
from .fields import PhotoField
from .forms import WORKED_OUT, PostedForm, form_payload
from .models import Act
from .photos import photo_take
from .registry import KINDS
from .services import act_apply
from .tablets import COOKIE, SentAct, sent_act_apply

LEVELS = {
    Outcome.APPLIED: messages.SUCCESS,
    Outcome.UNPLACED: messages.WARNING,
    Outcome.REFUSED: messages.ERROR,
}


def act_from_form(
    request: SignedIn,
    *,
    kind: str,
    fields: MultiValueDict[str, str] | None = None,
    version: int | None = None,
    about: Mapping[str, object] | None = None,
    trackday: Trackday | None = None,
) -> Act:
    """Apply the act a form posts and tell the person what became of it.

    The form's hidden ``act_id`` is filled by the browser (acts.js); without scripts the
    server makes one, and only the protection against a double tap is lost. The answer is
    added to the messages, which base.html (or the answering fragment) shows.

    ``fields`` are what was posted if not given; ``about`` is what the page's address says
    beside them. Raises ValidationError in words for a form that cannot be read, and then a
    tablet's queue is answered with these words.
    """
    sent: SentAct | None = getattr(request, "sent_act", None)
    posted = MultiValueDict((request.POST if fields is None else fields).lists())
    for name, value in (about or {}).items():
        posted[name] = str(value)
    version = version or _version(request.POST, kind)
    try:
        form = PostedForm(sent.id if sent else _form_id(request), posted, request.FILES)
        _photo_keep(request, kind, form)
        payload = form_payload(kind, version, form)
        read: dict[str, Any] = {"kind": kind, "version": version, "payload": payload}
        read["worked_out"] = WORKED_OUT.get((kind, version), frozenset())
        act = _apply(request, form.act_id, **read, trackday=trackday)
    except ValidationError as error:
        if sent is not None:
            sent.fault = " ".join(error.messages)
        raise
    messages.add_message(request, LEVELS[Outcome(act.outcome)], act.answer["text"])
    return act


def _apply(request: SignedIn, act_id: uuid.UUID, **act: Any) -> Act:
    sent: SentAct | None = getattr(request, "sent_act", None)
    if sent is not None:  # a tablet's queue: with its own clock, order and author
        return sent_act_apply(sent, **act)
    return act_apply(act_id=act_id, **act, by=request.user, device=_device(request))


def _version(posted: QueryDict, kind: str) -> int:
    """The version of the kind that the page was made for: see the tag ``act_fields``."""
    kinds = dict(one.rpartition("/")[::2] for one in posted.get("act_kinds", "").split(","))
    # Before pages said it, there was only 1.
    return whole_number(kinds.get(kind, "")) or 1


def _photo_keep(request: SignedIn, kind: str, form: PostedForm) -> None:
    """Store the photo that came with a form, and name it in the field ``photo``.

    Its id is made of the act's own, so that a second tap stores no second file. What is
    told with a photo beside it stands without it; an act that is about the photo does not.
    """
    field = KINDS[kind].payload().fields.get("photo") if kind in KINDS else None
    photo, upload = form.get("photo_id"), form.files.get("photo")
    form.fields.pop("photo", None)  # browsers post an empty file as a field
    if isinstance(field, PhotoField) and upload is not None:
        try:
            photo = str(photo_take(photo_id=uuid.uuid5(form.act_id, "photo"), upload=upload).pk)
        except ValidationError as error:
            if field.essential:
                raise
            why = " ".join(error.messages)
            messages.warning(request, _("The photo was not kept: %(why)s") % {"why": why})
    if photo:
        form.fields["photo"] = photo


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
