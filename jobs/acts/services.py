"""The one door for everything done trackside."""

import uuid
from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import ObjectDoesNotExist, PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from jobs.people.models import Device, User
from jobs.trackday import clock
from jobs.trackday.models import Trackday
from jobs.trackday.services import revision_bump

from .enums import Outcome
from .models import Act
from .registry import KINDS, Answer, Context

FORM = "form"  # the kind of an act that a page refused before it came to this door


def act_apply(
    *,
    act_id: uuid.UUID,
    kind: str,
    payload: dict[str, Any],
    by: User,
    trackday: Trackday | None = None,
    device: Device | None = None,
    device_seq: int | None = None,
    device_at: datetime | None = None,
    offset_s: float = 0.0,
) -> Act:
    """Apply one act exactly once and return it with its answer.

    The act and its effect are one transaction. The same id again returns the first
    answer without touching anything, whatever became of the first answer on its way.
    A refused act is kept in the trail with its reason and has no effect.

    ``device_at`` is the device's clock, ``offset_s`` what must be added to correct it
    (measured against the server); a corrected time in the future is brought back to now.
    """
    received_at = datetime.now(UTC)
    done_at = _bounded(device_at, offset_s, received_at)
    if trackday is not None:
        done_at = clock.shown(trackday, done_at)
    row = Act(
        id=act_id,
        kind=kind,
        payload=payload,
        trackday=trackday,
        by=by,
        device=device,
        device_seq=device_seq,
        device_at=device_at,
        done_at=done_at,
        received_at=received_at,
    )
    try:
        with transaction.atomic():
            # Inserted first: a second arrival of the same id waits here, then finds the row.
            row.save(force_insert=True)
            answer, trackday_id = _answer(row, by, device, trackday)
            _close(row, answer, trackday_id)
    except IntegrityError:
        earlier = Act.objects.filter(pk=act_id).first()
        if earlier is None:  # not this act's id that collided
            raise
        return _same(earlier, kind)
    return row


def _bounded(device_at: datetime | None, offset_s: float, received_at: datetime) -> datetime:
    """The device's time, corrected; never later than the moment it was received."""
    if device_at is None:
        return received_at
    corrected = datetime.fromtimestamp(device_at.timestamp() + offset_s, UTC)
    return min(corrected, received_at)


def _answer(
    row: Act, by: User, device: Device | None, trackday: Trackday | None
) -> tuple[Answer, int | None]:
    """Run the handler inside a savepoint; whatever it refuses leaves no trace but the act."""
    context = Context(
        act_id=row.id,
        by=by,
        done_at=row.done_at,
        device=device,
        trackday_id=trackday.pk if trackday else None,
    )
    try:
        with transaction.atomic():
            return _handled(row, by, context), context.trackday_id
    except ValidationError as error:
        return Answer(" ".join(error.messages), Outcome.REFUSED), context.trackday_id
    except PermissionDenied as error:
        return Answer(str(error), Outcome.REFUSED), context.trackday_id
    except ObjectDoesNotExist:
        return Answer(_("What this refers to does not exist here."), Outcome.REFUSED), None


def _handled(row: Act, by: User, context: Context) -> Answer:
    kind = KINDS.get(row.kind)
    if kind is None:
        raise ValidationError(_("There is no act called “%(kind)s”.") % {"kind": row.kind})
    if by.role not in kind.roles:
        raise PermissionDenied(_("Your role may not do this."))
    payload = kind.payload(data=row.payload)
    if not payload.is_valid():
        raise ValidationError(_in_words(payload.errors))
    return kind.handler(context, payload.validated_data)


def _in_words(errors: Any, name: str = "") -> list[str]:
    """A serializer's nested errors as sentences that name what was wrong."""
    if isinstance(errors, dict):
        return [word for key, value in errors.items() for word in _in_words(value, str(key))]
    if isinstance(errors, list) and any(isinstance(e, dict | list) for e in errors):
        return [word for value in errors for word in _in_words(value, name)]
    messages = errors if isinstance(errors, list) else [errors]
    label = "" if name == "non_field_errors" or not name else f"{name.replace('_', ' ')}: "
    return [f"{label}{message}" for message in messages]


def _close(row: Act, answer: Answer, trackday_id: int | None) -> None:
    row.outcome = answer.outcome
    row.answer = {"text": str(answer.text), **answer.data}
    row.trackday_id = trackday_id
    if trackday_id is not None and answer.outcome != Outcome.REFUSED:
        row.revision = revision_bump(trackday_id=trackday_id)
    row.save(update_fields=["outcome", "answer", "trackday", "revision"])


def _same(earlier: Act, kind: str) -> Act:
    """The act that already carries this id; another kind under it is a fault.

    What a page refused stays refused, also when the page would take it by now.
    """
    if earlier.kind not in (kind, FORM):
        raise ValidationError(_("This act's id was already used for something else."))
    return earlier
