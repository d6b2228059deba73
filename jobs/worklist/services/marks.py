"""Marks on tasks: started, done, skipped. Two people ticking are both kept."""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.models import User
from jobs.trackday.models import Entry, Session

from ..derive import task_id
from ..enums import Cadence, Mark, Point
from ..models import ChecklistItem, TaskMark
from .checklists import day_checklists_keep

WITHOUT_SESSION = (Cadence.ONCE, Cadence.LAST)


def task_mark(
    *,
    mark_id: uuid.UUID,
    entry: Entry,
    item: ChecklistItem,
    mark: Mark,
    by: User,
    at: datetime,
    session: Session | None = None,
    reason: str = "",
    points: dict[str, str] | None = None,
    words: str = "",
    wheel_touched: bool = False,
) -> TaskMark:
    """Mark one task. Its id is made here of entry, session and item."""
    _check_session(entry, session, item)
    if mark == Mark.SKIPPED and not reason.strip():
        raise ValidationError(_("Say why it is skipped."))
    day_checklists_keep(trackday=entry.trackday)
    session_id = session.pk if session else None
    return TaskMark.objects.create(
        id=mark_id,
        task_id=task_id(entry.pk, session_id, item.checklist.code, item.code),
        entry=entry,
        session=session,
        item=item,
        mark=mark,
        reason=reason.strip(),
        points=_points(item, points or {}) if mark == Mark.DONE else {},
        words=words.strip(),
        wheel_touched=wheel_touched,
        by=by,
        done_at=at,
    )


def mark_withdraw(*, mark: TaskMark, by: User, at: datetime) -> None:
    """Strike a mark through; the task is open again unless another mark stands."""
    if mark.withdrawn_at is None:
        mark.withdrawn_at, mark.withdrawn_by = at, by
        mark.save(update_fields=["withdrawn_at", "withdrawn_by"])


def mark_restore(*, mark: TaskMark) -> None:
    """What withdrew it was itself taken back: the mark stands as before."""
    mark.withdrawn_at = mark.withdrawn_by = None
    mark.save(update_fields=["withdrawn_at", "withdrawn_by"])


def _check_session(entry: Entry, session: Session | None, item: ChecklistItem) -> None:
    if item.cadence in WITHOUT_SESSION:
        if session is not None:
            raise ValidationError(_("“%(item)s” belongs to no session.") % {"item": item})
        return
    if session is None or session.trackday_id != entry.trackday_id:
        raise ValidationError(_("“%(item)s” needs its session of this day.") % {"item": item})


def _points(item: ChecklistItem, given: dict[str, str]) -> dict[str, str]:
    """Every point with what was found; one nobody looked at is “not checked”."""
    known = {point["code"] for point in item.points}
    for code, found in given.items():
        if code not in known:
            raise ValidationError(_("There is no point called “%(code)s”.") % {"code": code})
        if found not in Point.values:
            raise ValidationError(
                _("“%(found)s” is none of pass, fail, not checked.") % {"found": found}
            )
    return {
        point["code"]: given.get(point["code"], Point.NOT_CHECKED.value) for point in item.points
    }
