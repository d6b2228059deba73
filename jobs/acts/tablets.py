"""Acts that a tablet's queue sends: who did them, and the order in which they are applied.

The queue sends each act, or the form that an older page kept, with these headers:

    X-Act-Id      the act's id, as in the form
    X-Act-At      the device's clock when it was done (ISO 8601)
    X-Act-Offset  seconds to add to that clock, measured against the server
    X-Act-Seq     its number on that device (enrolled devices only)
    X-Act-Pass    the pass of who did it (enrolled devices only)
    X-Act-User    the user name of who did it
"""

import logging
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.http import HttpRequest
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from jobs.people.devices import device_of, pass_user
from jobs.people.enums import OFFICE_ROLES
from jobs.people.models import Device, User
from jobs.people.typed import whole_number
from jobs.trackday.models import Trackday

from .enums import Outcome
from .models import Act
from .registry import Payload
from .same_id import FORM, check_same_form
from .services import act_apply
from .storable import LONGEST_WORDS, storable, storable_text

logger = logging.getLogger(__name__)

COOKIE: str = settings.TABLET_COOKIE_NAME
SESSION_KEY = "device"


class DeviceLost(Exception):
    """The device was reported lost. The only answer it gets is to delete what it keeps."""


class SignInRequired(Exception):
    """The author of the act is not signed in. The tablet keeps the act until they are."""


class OutOfTurn(Exception):
    """The device must send the act with this number next."""

    def __init__(self, expected: int) -> None:
        super().__init__(expected)
        self.expected = expected


@dataclass
class SentAct:
    """One act as a tablet sent it, and what became of it once the view has run."""

    id: uuid.UUID
    by: User
    device: Device | None
    seq: int | None
    at: datetime | None
    offset_s: float
    act: Act | None = None
    known_before: bool = False
    fault: str = ""  # what went wrong in the view, in words
    kept: dict[str, Any] | None = None  # as the tablet kept it, where it names its kind


def read(request: HttpRequest) -> SentAct:
    """The act a queue's request carries. Raises DeviceLost, SignInRequired, or ValidationError."""
    headers = request.headers
    device = device_read(request)
    return SentAct(
        id=_uuid(headers["X-Act-Id"]),
        by=_author(request, device),
        device=device,
        seq=whole_number(headers.get("X-Act-Seq", "")) if device else None,
        at=_moment(headers.get("X-Act-At", "")),
        offset_s=_seconds(headers.get("X-Act-Offset", "")),
    )


def device_read(request: HttpRequest) -> Device | None:
    """The enrolled device this request comes from, if any. Raises DeviceLost."""
    device = device_of(cookie=request.COOKIES.get(COOKIE, ""))
    if device is not None and device.shut_out_at is not None:
        raise DeviceLost
    return device


def is_lost(request: HttpRequest) -> bool:
    """Whether this browser was reported lost, or the device on which its session began.

    The session stores its device, so deleting the device's cookie changes nothing.
    """
    device = device_of(cookie=request.COOKIES.get(COOKIE, ""))
    if settings.SESSION_COOKIE_NAME in request.COOKIES:
        begun_on = request.session.get(SESSION_KEY)
        lives = request.session.session_key is not None  # or the one before it has ended
        if device is not None and begun_on is None and lives:
            request.session[SESSION_KEY] = str(device.pk)
        elif device is None and begun_on is not None:
            device = Device.objects.filter(pk=begun_on).first()
    return device is not None and device.shut_out_at is not None


def shows_money(request: HttpRequest) -> bool:
    """Whether money may be shown: to office roles, but not on an enrolled tablet."""
    user = request.user
    return isinstance(user, User) and user.role in OFFICE_ROLES and COOKIE not in request.COOKIES


def next_seq(device: Device) -> int:
    """The number the device's next act must carry."""
    newest = Act.objects.filter(device=device).aggregate(newest=Max("device_seq"))["newest"]
    return (newest or 0) + 1


def sent_act_apply(
    sent: SentAct,
    *,
    kind: str,
    payload: Payload,
    version: int | None = None,
    trackday: Trackday | None,
    worked_out: frozenset[str] = frozenset(),
) -> Act:
    """Apply a sent act in its turn. Raises OutOfTurn while an earlier one is missing."""
    with transaction.atomic():
        sent.known_before = Act.objects.filter(pk=sent.id).exists()
        if not sent.known_before:
            _in_turn(sent)
        act = act_apply(
            act_id=sent.id,
            kind=kind,
            version=version,
            payload=payload,
            by=sent.by,
            trackday=trackday,
            device=sent.device,
            device_seq=sent.seq,
            device_at=sent.at,
            offset_s=sent.offset_s,
            worked_out=worked_out,
        )
    sent.known_before = act.already
    sent.act = act  # only after the commit: the tablet deletes an act once it is answered
    return act


def _in_turn(sent: SentAct) -> None:
    """Lock the device and check that this act is its next one. Raises OutOfTurn."""
    if sent.device is None or sent.seq is None:
        return
    Device.objects.select_for_update(no_key=True).get(pk=sent.device.pk)
    expected = next_seq(sent.device)
    if sent.seq != expected:
        raise OutOfTurn(expected)


def sent_act_refuse(sent: SentAct, *, payload: dict[str, Any], reason: str) -> Act:
    """Record that this act was refused by a form, before ``act_apply``, and why.

    The next act of the device may then follow. The same id again is refused again. Raises
    IdTaken where the id is that of another act, which was no refused form.
    """
    now = datetime.now(UTC)
    with transaction.atomic():
        sent.known_before = Act.objects.filter(pk=sent.id).exists()
        if not sent.known_before:
            _in_turn(sent)
        payload = storable(payload).value
        act, created = Act.objects.get_or_create(
            pk=sent.id,
            defaults={
                "kind": FORM,
                "payload": payload,
                "by": sent.by,
                "device": sent.device,
                "device_seq": sent.seq,
                "device_at": sent.at,
                "done_at": now,
                "received_at": now,
                "outcome": Outcome.REFUSED,
                "answer": {"text": storable_text(reason)[:LONGEST_WORDS]},
            },
        )
        if not created:
            check_same_form(act, payload)
    sent.known_before = not created
    sent.act = act
    return act


def failure_log(act_id: uuid.UUID, where: str, error: Exception) -> str:
    """Log that the program failed at an act, and return what its sender is told."""
    logger.error("An act failed: %s %s", where, act_id, exc_info=error)
    return _(
        "The program failed at this one and wrote nothing. What you entered is kept "
        "here: tell the office."
    )


def _author(request: HttpRequest, device: Device | None) -> User:
    token = request.headers.get("X-Act-Pass", "")
    if device is not None and token:
        author = pass_user(token=token, device=device)
        if author is None:
            raise SignInRequired
        return author
    user = request.user
    if not isinstance(user, User) or user.username != request.headers.get("X-Act-User", ""):
        raise SignInRequired
    return user


def _uuid(value: str) -> uuid.UUID:
    try:
        return uuid.UUID(value)
    except ValueError:
        raise ValidationError(_("The id of this act could not be read.")) from None


def _moment(value: str) -> datetime | None:
    """The device's clock in UTC; None where it cannot be read or is no moment of the calendar."""
    try:
        moment = parse_datetime(value.replace(" ", "+"))
        return moment.astimezone(UTC) if moment and moment.tzinfo else None
    except (ValueError, OverflowError):
        return None


def _seconds(value: str) -> float:
    """Zero for an offset of more than a year: such a clock cannot be corrected."""
    try:
        seconds = float(value)
    except ValueError:
        return 0.0
    return seconds if abs(seconds) < 366 * 86400 else 0.0
