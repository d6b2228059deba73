"""``act_apply``: every trackside write goes through it."""

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

from .damage import refuse_while_marked
from .enums import Outcome
from .models import MOST_VERSIONS, Act
from .registry import KINDS, Answer, Context, Payload, kind_get
from .same_id import check_same_act
from .storable import LONGEST_WORDS, storable, storable_text

LONGEST_KIND = 24


def act_apply(
    *,
    act_id: uuid.UUID,
    kind: str,
    payload: Payload,
    version: int | None = None,
    by: User,
    trackday: Trackday | None = None,
    device: Device | None = None,
    device_seq: int | None = None,
    device_at: datetime | None = None,
    offset_s: float = 0.0,
    worked_out: frozenset[str] = frozenset(),
) -> Act:
    """Apply one act exactly once and return it with its answer.

    The act and its effect are one transaction. The same act again returns the first answer and
    touches nothing; another under the same id raises IdTaken (``same_id.py``). A refused act is
    kept with its reason and has no effect. What no database can keep is refused by its field's
    name. Raises KnownDamage while the database is damaged. ``version`` is that of the payload,
    None for today's; an older one is brought up to today's (registry.py) and kept as that.
    ``device_at`` is the device's clock, ``offset_s`` what must be added to correct it
    (measured against the server); a corrected time in the future is brought back to now.
    """
    refuse_while_marked()
    received_at = datetime.now(UTC)
    done_at = _bounded(device_at, offset_s, received_at)
    if trackday is not None:
        done_at = clock.day_time(trackday, done_at)
    version = version or _version(kind)
    given = storable(payload)
    row = Act(
        id=act_id,
        kind=storable_text(kind)[:LONGEST_KIND],
        version=version if 1 <= version <= MOST_VERSIONS else 1,
        payload=given.value,
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
            answer, trackday_id = _run(row, version, given.faults, trackday)
            _answer_save(row, answer, trackday_id)
    except IntegrityError:
        earlier = Act.objects.filter(pk=act_id).first()
        if earlier is None:  # not this act's id that collided
            raise
        check_same_act(
            earlier, kind=row.kind, payload=given.value, version=version, worked_out=worked_out
        )
        earlier.already = True
        return earlier
    return row


def _version(kind: str) -> int:
    return KINDS[kind].version if kind in KINDS else 1


def _bounded(device_at: datetime | None, offset_s: float, received_at: datetime) -> datetime:
    """The device's time, corrected; never later than the moment it was received.

    Bounded as seconds since 1970, where device clocks begin: the calendar ends at year 9999.
    """
    if device_at is None:
        return received_at
    corrected = max(device_at.timestamp() + offset_s, 0.0)
    if corrected >= received_at.timestamp():
        return received_at
    return datetime.fromtimestamp(corrected, UTC)


def _run(
    row: Act, version: int, faults: list[str], trackday: Trackday | None
) -> tuple[Answer, int | None]:
    """Run the handler in a savepoint, so that a refusal leaves only the act itself."""
    context = Context(
        act_id=row.id,
        by=row.by,
        done_at=row.done_at,
        device=row.device,
        trackday_id=trackday.pk if trackday else None,
    )
    try:
        with transaction.atomic():
            return _handled(row, version, faults, context), context.trackday_id
    except ValidationError as error:
        return Answer(" ".join(error.messages), Outcome.REFUSED), context.trackday_id
    except PermissionDenied as error:
        return Answer(str(error), Outcome.REFUSED), context.trackday_id
    except ObjectDoesNotExist:
        return Answer(_("What this refers to does not exist here."), Outcome.REFUSED), None


def _handled(row: Act, version: int, faults: list[str], context: Context) -> Answer:
    kind = kind_get(row.kind)
    if context.by.role not in kind.roles:
        raise PermissionDenied(_("Your role may not do this."))
    row.payload, row.version = kind.upcast(row.payload, version), kind.version
    if faults:
        raise ValidationError(faults)
    payload = kind.payload(data=row.payload)
    if not payload.is_valid():
        raise ValidationError(error_texts(payload.errors))
    return kind.handler(context, payload.validated_data)


def error_texts(errors: Any, name: str = "") -> list[str]:
    """A serializer's nested errors as sentences that name what was wrong."""
    if isinstance(errors, dict):
        return [
            word
            for key, value in errors.items()
            for word in error_texts(value, name if _is_no_name(key) else str(key))
        ]
    if isinstance(errors, list) and any(isinstance(e, dict | list) for e in errors):
        return [word for value in errors for word in error_texts(value, name)]
    messages = errors if isinstance(errors, list) else [errors]
    label = f"{name.replace('_', ' ')}: " if name else ""
    return [f"{label}{message}" for message in messages]


def _is_no_name(key: Any) -> bool:
    """A place in a list, or what a serializer says of all its fields together."""
    return not isinstance(key, str) or key in ("non_field_errors", "")


def _answer_save(row: Act, answer: Answer, trackday_id: int | None) -> None:
    row.outcome = answer.outcome
    # Words about a fault may quote what was sent.
    row.answer = storable({"text": str(answer.text)[:LONGEST_WORDS], **answer.data}).value
    row.trackday_id = trackday_id
    if trackday_id is not None and answer.outcome != Outcome.REFUSED:
        row.revision = revision_bump(trackday_id=trackday_id)
    row.save(update_fields=["version", "payload", "outcome", "answer", "trackday", "revision"])
