"""What a document tells beside its figures: the bike, the day, what was done and what is only
recommended. Frozen on the document when it is drafted."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from jobs.garage.enums import Origin
from jobs.garage.models import Adjuster
from jobs.setups.enums import RowKind, RowState
from jobs.setups.models import Adjustment, Order
from jobs.trackday.models import Entry


def story_of(entries: Sequence[Entry]) -> list[dict[str, Any]]:
    """One part an entry, in the entries' order. Three queries however many."""
    ids = [entry.pk for entry in entries]
    done: dict[int, list[str]] = defaultdict(list)
    changes = (
        Adjustment.objects.filter(entry__in=ids, kind=RowKind.CHANGE, state=RowState.PLACED)
        .select_related("adjuster")
        .order_by("accepted_at")
    )
    for change in changes:
        done[change.entry_id or 0].append(
            _words(change.adjuster, change.from_position, change.to_position, change.reason)
        )
    recommended: dict[int, list[str]] = defaultdict(list)
    orders = (
        Order.objects.filter(entry__in=ids, withdrawn_at__isnull=True, changes__isnull=True)
        .select_related("adjuster")
        .order_by("accepted_at")
    )
    for order in orders:
        recommended[order.entry_id or 0].append(
            _words(order.adjuster, order.from_position, order.to_position, order.reason)
        )
    return [
        {
            "entry": entry.pk,
            "number": entry.number,
            "group": entry.group.letter,
            "bike": str(entry.bike),
            "frame": entry.bike.frame_last4,
            "rider": entry.rider.name,
            "package": entry.package.name,
            "day": entry.trackday.name,
            "venue": entry.trackday.venue.name,
            "date": entry.trackday.date.isoformat(),
            "done": done[entry.pk],
            "recommended": recommended[entry.pk],
        }
        for entry in entries
    ]


def _words(adjuster: Adjuster, before: Any, after: Any, reason: str) -> str:
    what = f"{adjuster.get_end_display()} {adjuster.get_function_display()}"
    leg = "" if adjuster.leg == "both" else f", {adjuster.get_leg_display()}"
    counted = "" if adjuster.origin == Origin.ZERO else f" {adjuster.get_origin_display()}"
    words = _("%(what)s%(leg)s from %(before)s to %(after)s %(unit)s%(counted)s") % {
        "what": what.capitalize(),
        "leg": leg,
        "before": _plain(before),
        "after": _plain(after),
        "unit": adjuster.get_unit_display(),
        "counted": counted,
    }
    return f"{words}: {reason}" if reason else words


def _plain(position: Any) -> str:
    return "-" if position is None else f"{position.normalize():f}"
