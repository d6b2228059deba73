"""What a document tells beside its figures: the bike, the day, what was done and what is only
recommended. Frozen on the document when it is drafted."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from jobs.garage.enums import Leg, Origin
from jobs.garage.models import Adjuster
from jobs.garage.words import at_end
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Order
from jobs.trackday.models import Entry


def story_of(entries: Sequence[Entry], *, worked: bool = True) -> list[dict[str, Any]]:
    """One part an entry, in the entries' order. Two queries however many.

    Before the work (a quote) nothing was done and nothing is recommended: ``worked`` False.
    """
    ids = [entry.pk for entry in entries] if worked else []
    done: dict[int, list[AdjustmentWords]] = defaultdict(list)
    changes = (
        Adjustment.objects.filter(entry__in=ids, kind=RowKind.CHANGE, state=RowState.PLACED)
        .select_related("adjuster")
        .order_by("accepted_at")
    )
    for change in changes:
        done[change.entry_id or 0].append(
            _told(change.adjuster, change.from_position, change.to_position, change.reason)
        )
    recommended: dict[int, list[AdjustmentWords]] = defaultdict(list)
    orders = (
        Order.objects.filter(entry__in=ids, withdrawn_at__isnull=True, changes__isnull=True)
        .select_related("adjuster")
        .order_by("accepted_at")
    )
    for order in orders:
        recommended[order.entry_id or 0].append(
            _told(order.adjuster, order.from_position, order.to_position, order.reason)
        )
    return [
        {
            "entry": entry.pk,
            "number": entry.number,
            "group": entry.group.letter,
            "bike": str(entry.bike),
            "frame": entry.bike.frame_last4,
            "rider": entry.rider.name,
            "absence": entry.absence,
            "package": entry.package.name,
            "day": entry.trackday.name,
            "venue": entry.trackday.venue.name,
            "date": entry.trackday.date.isoformat(),
            "done": _legs_as_one(done[entry.pk]),
            "recommended": _legs_as_one(recommended[entry.pk]),
        }
        for entry in entries
    ]


@dataclass(frozen=True)
class AdjustmentWords:
    """One change or order; ``leg`` is empty where there is one leg, or both are one."""

    what: str
    leg: str
    change: str
    reason: str

    def __str__(self) -> str:
        words = f"{self.what}{', ' if self.leg else ''}{self.leg} {self.change}"
        return f"{words}: {self.reason}" if self.reason else words


def _told(adjuster: Adjuster, before: Any, after: Any, reason: str) -> AdjustmentWords:
    what = at_end(adjuster.get_end_display(), adjuster.get_function_display())
    counted = "" if adjuster.origin == Origin.ZERO else f" {adjuster.get_origin_display()}"
    change = _("from %(before)s to %(after)s %(unit)s%(counted)s") % {
        "before": _plain(before),
        "after": _plain(after),
        "unit": adjuster.get_unit_display(),
        "counted": counted,
    }
    leg = "" if adjuster.leg == Leg.BOTH else str(adjuster.get_leg_display())
    return AdjustmentWords(what, leg, change, reason)


def _legs_as_one(told: Sequence[AdjustmentWords]) -> list[str]:
    """The same change on the left and on the right leg, one after the other, is one line."""
    lines: list[AdjustmentWords] = []
    for one in told:
        before = lines[-1] if lines else None
        legs = {one.leg, before.leg if before else ""}
        if before is not None and len(legs - {""}) == 2 and replace(before, leg=one.leg) == one:
            lines[-1] = replace(one, leg=_("both legs"))
        else:
            lines.append(one)
    return [str(line) for line in lines]


def _plain(position: Any) -> str:
    return "-" if position is None else f"{position.normalize():f}"
