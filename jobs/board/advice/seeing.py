"""A finding in three taps: wheel, place on the tyre or part of the corner, which one."""

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.advice import selectors
from jobs.garage.enums import End
from jobs.people.access import SignedIn
from jobs.plots import places
from jobs.setups.enums import Phase
from jobs.trackday.models import Entry
from jobs.tuning.knowledge import Catalogue, Finding, Good
from jobs.tuning.terms import Phase as Part

from ..day.venue import sketch_of
from ..sheet.identity import entry_get, head_of
from ..sheet.spots import TREAD, Spot, spot, tread
from ..taken import not_kept, photo_taken

WHEELS = [
    ("front", gettext_lazy("Front")),
    ("rear", gettext_lazy("Rear")),
    ("bike", gettext_lazy("Whole bike")),
]


def see(request: SignedIn, entry_id: int) -> HttpResponse:
    entry = entry_get(entry_id)
    if request.method == "POST":
        payload = _payload(entry, request.POST) | {"photo": _photo(request)}
        act = act_from_form(request, kind="finding", payload=payload, trackday=entry.trackday)
        if act.outcome != Outcome.REFUSED:
            return redirect("board:advice", entry_id=entry.pk)
    end, where = request.GET.get("end", ""), request.GET.get("at", "")
    if end not in dict(WHEELS):
        end = ""
    known = selectors.catalogue()
    context = {
        "entry": entry,
        "head": head_of(entry),
        "wheels": list(_wheels()),
        "end": end,
        "end_words": dict(WHEELS).get(end, ""),
        "real_end": end if end in End.values else "",
        "wheres": list(_wheres(end)) if end else [],
        "at": where,
        "at_words": next((w.words for w in _wheres(end) if w.name == where), "") if end else "",
        "phase": where if where in Phase.values else "",
        "place": where if where in TREAD else "",
        "rows": _rows(known, end, where) if end and where else [],
        "sketch": sketch_of(entry.trackday.venue),
    }
    return render(request, "board/advice/see.html", context)


def _photo(request: SignedIn) -> str | None:
    """What it looks like; what is seen is noted though its photo cannot be kept."""
    try:
        return photo_taken(request) or None
    except ValidationError as error:
        messages.warning(request, not_kept(" ".join(error.messages)))
        return None


def _wheels() -> Iterator[Spot]:
    for name, words in WHEELS:
        drawn = places.wheel_place("" if name == "bike" else name, alt=str(words))
        yield spot(name, str(words), drawn)


def _wheres(end: str) -> Iterator[Spot]:
    """Parts of the corner for what the rider says; places for what is seen and read."""
    for phase in Phase:
        drawn = places.corner_place("" if phase == Phase.ANY else phase.value, alt=str(phase.label))
        yield spot(phase.value, str(phase.label), drawn)
    if end == "bike":
        return
    yield from tread()
    push, ring = _("push test"), _("travel ring")
    yield spot("push", push, places.push_place(alt=push))
    yield spot("ring", ring, places.ring_place(alt=ring))


def _payload(entry: Entry, posted: QueryDict) -> dict[str, Any]:
    """A stop condition's button names its finding too: ``stop`` is “code: its words”."""
    names = ("words", "code", "end", "phase", "place", "corner")
    fields = {name: posted.get(name, "") for name in names}
    code, seen, stop = posted.get("stop", "").partition(": ")
    if seen:
        fields |= {"code": code, "stop": stop}
    return {"entry": entry.pk, **fields, "by_rider": bool(posted.get("by_rider"))}


FAMILY_AT = {"push": "push_test", "ring": "travel", **dict.fromkeys(TREAD, "tyre_wear")}


def _rows(known: Catalogue, end: str, where: str) -> list[Finding | Good]:
    """The findings one can see there, and what is right there too."""
    family = FAMILY_AT.get(where, "rider")
    rows: list[Finding | Good] = [
        row
        for row in known.findings.values()
        if row.family == family and _fits(row, end) and (family != "rider" or _at(row, where))
    ]
    good = "clean" if family == "tyre_wear" else "content" if family == "rider" else ""
    return [*rows, known.good[good]] if good else rows


def _fits(row: Finding, end: str) -> bool:
    if end == "bike" or not row.ends:
        return end == "bike" or not row.ends
    return end in row.ends


def _at(row: Finding, where: str) -> bool:
    return where == Part.ANY or Part.ANY in row.phases or where in row.phases
