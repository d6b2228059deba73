"""When each of the crew is called to the pit-in cards, and what is done there in a word."""

from collections.abc import Iterable
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.setups.reading_kinds import PUSH_TEST, TYRE_PRESSURE
from jobs.worklist.derive import Task
from jobs.worklist.enums import ItemKind, OnlyIf
from jobs.worklist.pit_in import Arrival, Share


def calls_of(arrivals: Iterable[Arrival]) -> list[dict[str, Any]]:
    """Everybody's calls for the rest of the day: a page may be open, or kept, for hours."""
    return [
        call_of(arrival, share) for arrival in arrivals for share in arrival.shares if share.bikes
    ]


def call_of(arrival: Arrival, share: Share) -> dict[str, Any]:
    """From the first stop of one's own bikes until nothing of them must be begun any more.

    Moments in ISO 8601. ``line``: what the page says where a card must not cover it.
    """
    session = arrival.times.session
    count = len(share.bikes)
    line = ngettext(
        "%(session)s is in: %(n)d bike for you",
        "%(session)s is in: %(n)d bikes for you",
        count,
    ) % {"session": session, "n": count}
    return {
        "user": share.person.pk,
        "session": session.pk,
        "from": min(one.stop for one in share.bikes).isoformat(),
        "until": arrival.until.isoformat(),
        "line": line,
        "url": reverse("board:pit-in", args=[session.trackday_id, share.person.pk]),
    }


def work_word(task: Task) -> str:
    """What is done, in a word: of an item of one's own, its text up to a colon."""
    item = task.item
    kinds = {asked["kind"] for asked in item.readings}
    if item.kind == ItemKind.WORDS:
        return _("Words")
    if item.only_if == OnlyIf.CHANGED:
        return _("Re-check")
    if TYRE_PRESSURE.name in kinds:
        return _("Read")
    return _("Push") if PUSH_TEST.name in kinds else str(item.text.partition(":")[0])
