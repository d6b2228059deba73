"""Findings, what is expected of a change, and the judgement of it."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage.models import Bike

from ..enums import RowState
from ..models import Adjustment, Expectation, Finding, Judgement
from ..origin import RowOrigin


def finding_write(
    *,
    origin: RowOrigin,
    bike: Bike,
    words: str = "",
    code: str = "",
    title: str = "",
    end: str = "",
    phase: str = "",
    corner: str = "",
    place: str = "",
    by_rider: bool = False,
) -> Finding:
    """Something seen or said: from the catalogue (``code``, ``title``), in free words, or both."""
    if not (words.strip() or code):
        raise ValidationError(_("Say what was seen, or choose it from the list."))
    return Finding.objects.create(
        **origin.fields(),
        bike=bike,
        words=words.strip(),
        code=code,
        title=title,
        end=end,
        phase=phase,
        corner=corner,
        place=place,
        by_rider=by_rider,
    )


def expectation_write(
    *,
    origin: RowOrigin,
    adjustment: Adjustment,
    text: str,
    condition: str = "",
    finding: Finding | None = None,
) -> Expectation:
    """What should be seen after the next outing if the change was right."""
    if not text.strip():
        raise ValidationError(_("Say what should be seen next time."))
    if adjustment.state == RowState.WITHDRAWN:
        raise ValidationError(_("This change was withdrawn; nothing is expected of it."))
    return Expectation.objects.create(
        **origin.fields(),
        adjustment=adjustment,
        text=text.strip(),
        condition=condition.strip(),
        finding=finding,
    )


@transaction.atomic
def expectation_judge(
    *,
    origin: RowOrigin,
    expectation: Expectation,
    verdict: str,
    like_pace: bool | None = None,
    words: str = "",
    told_by: str = "",
) -> Judgement:
    """Seen, partly, not seen or not tested. The last judgement not withdrawn counts."""
    if expectation.withdrawn_at is not None:
        raise ValidationError(_("This expectation was withdrawn with its change."))
    return Judgement.objects.create(
        **origin.fields(),
        expectation=expectation,
        verdict=verdict,
        like_pace=like_pace,
        words=words.strip(),
        told_by=told_by,
    )
