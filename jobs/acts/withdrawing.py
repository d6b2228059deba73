"""Taking an act back. What is named is an act's id, or the id of a row it wrote.

How each kind is taken back stands in its registration (``taken_back`` of ``@act``):

- ``by_act(function)``: the function undoes the act's effect, of which it is given the act;
- ``BY_ROW``: the row is withdrawn by the room it lies in, through a function that a handler
  module registers here:

    @withdraws
    def note_withdrawn(context, row_id):
        note = Note.objects.filter(pk=row_id).first()
        if note is None:
            return None  # not one of ours
        ...
        return Answer(_("Note withdrawn."))

- ``NEVER``: another act says what holds from now on.
"""

import uuid
from collections.abc import Callable

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from .enums import Outcome
from .fields import day_set
from .models import Act
from .registry import KINDS, Answer, Context

Withdrawer = Callable[[Context, uuid.UUID], Answer | None]

WITHDRAWERS: list[Withdrawer] = []


def withdraws(withdrawer: Withdrawer) -> Withdrawer:
    WITHDRAWERS.append(withdrawer)
    return withdrawer


def take_back(context: Context, row_id: uuid.UUID) -> Answer:
    """Take back the act with this id, or the row with it. Raises ValidationError."""
    earlier = Act.objects.select_related("by").filter(pk=row_id).first()
    kind = KINDS.get(earlier.kind) if earlier else None
    if earlier is not None and kind is not None and kind.taken_back.act is not None:
        _check(context, earlier, by_anybody=kind.taken_back.by_anybody)
        return Answer(kind.taken_back.act(context, earlier))
    for withdrawer in WITHDRAWERS:
        answer = withdrawer(context, row_id)
        if answer is not None:
            return answer
    raise ValidationError(_("What you want to take back is not here, or cannot be taken back."))


def _check(context: Context, earlier: Act, *, by_anybody: bool) -> None:
    if earlier.trackday_id is not None:
        day_set(context, earlier.trackday_id)
    if earlier.outcome == Outcome.REFUSED:
        raise ValidationError(_("It was refused when it was sent: there is nothing to take back."))
    if earlier.by.is_tuner and not (by_anybody or context.by.is_tuner):
        raise PermissionDenied(_("What a tuner did, a tuner takes back."))
    if (
        Act.objects.filter(kind="withdraw", payload__row=str(earlier.pk), outcome=Outcome.APPLIED)
        .exclude(pk=context.act_id)
        .exists()
    ):
        raise ValidationError(_("It was taken back already."))
