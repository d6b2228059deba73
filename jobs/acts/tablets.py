"""Acts that come from a tablet's own queue: whose they are, and in which order they count.

The queue sends each form as it was filled in, to the address it would have been posted
to, with a few headers beside:

    X-Act-Id      the act's id, as in the form
    X-Act-At      the device's clock when it was done (ISO 8601)
    X-Act-Offset  seconds to add to that clock, measured against the server
    X-Act-Seq     its number on that device (enrolled devices only)
    X-Act-Pass    the pass of who did it (enrolled devices only)
    X-Act-User    the user name of who did it
"""

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
from jobs.people.enums import MONEY
from jobs.people.models import Device, User
from jobs.trackday.models import Trackday

from .enums import Outcome
from .models import Act
from .services import FORM, act_apply

COOKIE = "tablet"
SESSION_KEY = "device"


class ShutOut(Exception):
    """The device was reported lost: it gets nothing but the order to wipe itself."""


class SignIn(Exception):
    """Nobody, or somebody else, is signed in; the act stays where it is until then."""


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


def read(request: HttpRequest) -> SentAct:
    """The act a queue's request carries. Raises ShutOut, SignIn, or ValidationError."""
    headers = request.headers
    device = device_read(request)
    at = parse_datetime(headers.get("X-Act-At", "").replace(" ", "+"))
    return SentAct(
        id=_uuid(headers["X-Act-Id"]),
        by=_author(request, device),
        device=device,
        seq=_seq(headers.get("X-Act-Seq", "")) if device else None,
        at=at if at and at.tzinfo else None,
        offset_s=_seconds(headers.get("X-Act-Offset", "")),
    )


def device_read(request: HttpRequest) -> Device | None:
    """The enrolled device this request comes from, if any. Raises ShutOut."""
    device = device_of(cookie=request.COOKIES.get(COOKIE, ""))
    if device is not None and device.shut_out_at is not None:
        raise ShutOut
    return device


def is_lost(request: HttpRequest) -> bool:
    """Whether this browser, or the one its sign-in was begun on, was reported lost.

    The session remembers its device: throwing away the device's cookie does not help.
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
    """To whom it is open; never on an enrolled tablet, which keeps its pages for hours."""
    user = request.user
    return isinstance(user, User) and user.role in MONEY and COOKIE not in request.COOKIES


def next_seq(device: Device) -> int:
    """The number the device's next act must carry."""
    newest = Act.objects.filter(device=device).aggregate(newest=Max("device_seq"))["newest"]
    return (newest or 0) + 1


def sent_act_apply(
    sent: SentAct, *, kind: str, payload: dict[str, Any], trackday: Trackday | None
) -> Act:
    """Apply a sent act in its turn. Raises OutOfTurn while an earlier one is missing."""
    with transaction.atomic():
        sent.known_before = Act.objects.filter(pk=sent.id).exists()
        if not sent.known_before:
            _in_turn(sent)
        act = act_apply(
            act_id=sent.id,
            kind=kind,
            payload=payload,
            by=sent.by,
            trackday=trackday,
            device=sent.device,
            device_seq=sent.seq,
            device_at=sent.at,
            offset_s=sent.offset_s,
        )
    sent.act = act  # not before it is committed: the tablet forgets what it is told of
    return act


def _in_turn(sent: SentAct) -> None:
    """One act of a device at a time, each only after all before it."""
    if sent.device is None or sent.seq is None:
        return
    Device.objects.select_for_update(no_key=True).get(pk=sent.device.pk)
    expected = next_seq(sent.device)
    if sent.seq != expected:
        raise OutOfTurn(expected)


def sent_act_refuse(sent: SentAct, *, payload: dict[str, Any], reason: str) -> Act:
    """Keep in the trail that this act was refused before it reached the door, and why.

    It has had its turn: the acts after it may come. The same id again is refused again.
    """
    now = datetime.now(UTC)
    with transaction.atomic():
        sent.known_before = Act.objects.filter(pk=sent.id).exists()
        if not sent.known_before:
            _in_turn(sent)
        act, _created = Act.objects.get_or_create(
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
                "answer": {"text": reason},
            },
        )
    sent.act = act
    return act


def _author(request: HttpRequest, device: Device | None) -> User:
    token = request.headers.get("X-Act-Pass", "")
    if device is not None and token:
        author = pass_user(token=token, device=device)
        if author is None:
            raise SignIn
        return author
    user = request.user
    if not isinstance(user, User) or user.username != request.headers.get("X-Act-User", ""):
        raise SignIn
    return user


def _uuid(value: str) -> uuid.UUID:
    try:
        return uuid.UUID(value)
    except ValueError:
        raise ValidationError(_("The id of this act could not be read.")) from None


def _seq(value: str) -> int | None:
    return int(value) if value.isdecimal() else None


def _seconds(value: str) -> float:
    """Bounded by a year either way: beyond that a clock says nothing."""
    try:
        seconds = float(value)
    except ValueError:
        return 0.0
    return seconds if abs(seconds) < 366 * 86400 else 0.0
