"""Taking an act back. Each room says how its own rows are withdrawn.

A handler module registers what it can withdraw:

    @withdraws
    def hold_withdrawn(context, row_id):
        hold = Hold.objects.filter(pk=row_id).first()
        if hold is None:
            return None  # not one of ours
        ...
        return Answer(_("Hold withdrawn."))

An act whose effect is not one row of its own is found by its kind:

    @withdraws_acts("session flag")
    def flag_withdrawn(context, earlier):
        ...
        return _("The session is as it was before.")
"""

import uuid
from collections.abc import Callable

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from .enums import Outcome
from .fields import on_day
from .models import Act
from .registry import Answer, Context

Withdrawer = Callable[[Context, uuid.UUID], Answer | None]

WITHDRAWERS: list[Withdrawer] = []


def withdraws(withdrawer: Withdrawer) -> Withdrawer:
    WITHDRAWERS.append(withdrawer)
    return withdrawer


def withdraws_acts(
    *kinds: str,
) -> Callable[[Callable[[Context, Act], str]], Callable[[Context, Act], str]]:
    """Register how acts of these kinds are taken back; what a tuner did, a tuner takes back."""

    def register(function: Callable[[Context, Act], str]) -> Callable[[Context, Act], str]:
        @withdraws
        def by_kind(context: Context, row_id: uuid.UUID) -> Answer | None:
            earlier = Act.objects.select_related("by").filter(pk=row_id, kind__in=kinds).first()
            if earlier is None:
                return None
            _check(context, earlier)
            return Answer(function(context, earlier))

        return function

    return register


def _check(context: Context, earlier: Act) -> None:
    if earlier.trackday_id is not None:
        on_day(context, earlier.trackday_id)
    if earlier.outcome == Outcome.REFUSED:
        raise ValidationError(_("It was refused when it was sent: there is nothing to take back."))
    if earlier.by.is_tuner and not context.by.is_tuner:
        raise PermissionDenied(_("What a tuner did, a tuner takes back."))
    if (
        Act.objects.filter(kind="withdraw", payload__row=str(earlier.pk), outcome=Outcome.APPLIED)
        .exclude(pk=context.act_id)
        .exists()
    ):
        raise ValidationError(_("It was taken back already."))
