"""A finding in three taps: wheel, place on the tyre or part of the corner, which one."""

from collections.abc import Iterator

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
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
from jobs.tuning.knowledge import Catalogue, CatalogueFinding, GoodSign

from ..day.venue import sketch_of
from ..said_before import said_before
from ..sheet.bike_header import bike_header_of, entry_get
from ..sheet.drawn_choices import TREAD, DrawnChoice, drawn_choice, tread

WHEELS = [
    ("front", gettext_lazy("Front")),
    ("rear", gettext_lazy("Rear")),
    ("bike", gettext_lazy("Whole bike")),
]


def see(request: SignedIn, entry_id: int) -> HttpResponse:
    entry = entry_get(entry_id)
    if request.method == "POST":
        about = {"entry": entry.pk}
        try:
            act = act_from_form(request, kind="finding", about=about, trackday=entry.trackday)
            if act.outcome != Outcome.REFUSED:
                return redirect("board:advice", entry_id=entry.pk)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
    end, where = request.GET.get("end", ""), request.GET.get("at", "")
    if end not in dict(WHEELS):
        end = ""
    known = selectors.catalogue()
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "wheels": list(_wheels()),
        "end": end,
        "end_words": dict(WHEELS).get(end, ""),
        "real_end": end if end in End.values else "",
        "wheres": list(_places_to_choose(end)) if end else [],
        "at": where,
        "at_words": next((w.words for w in _places_to_choose(end) if w.name == where), "")
        if end
        else "",
        "phase": where if where in Phase.values else "",
        "place": where if where in TREAD else "",
        "rows": _rows(known, end, where) if end and where else [],
        "sketch": sketch_of(entry.trackday.venue),
        "said_before": said_before(entry) if end and where else [],
    }
    return render(request, "board/advice/see.html", context)


def _wheels() -> Iterator[DrawnChoice]:
    for name, words in WHEELS:
        drawn = places.wheel_place("" if name == "bike" else name, alt=str(words))
        yield drawn_choice(name, str(words), drawn)


def _places_to_choose(end: str) -> Iterator[DrawnChoice]:
    """Parts of the corner for what the rider says; places for what is seen and read."""
    for phase in Phase:
        drawn = places.corner_place("" if phase == Phase.ANY else phase.value, alt=str(phase.label))
        yield drawn_choice(phase.value, str(phase.label), drawn)
    if end == "bike":
        return
    yield from tread()
    push, ring = _("push test"), _("travel ring")
    yield drawn_choice("push", push, places.push_place(alt=push))
    yield drawn_choice("ring", ring, places.ring_place(alt=ring))


FAMILY_AT = {"push": "push_test", "ring": "travel", **dict.fromkeys(TREAD, "tyre_wear")}


def _rows(known: Catalogue, end: str, where: str) -> list[CatalogueFinding | GoodSign]:
    """The findings one can see there, and what is right there too."""
    family = FAMILY_AT.get(where, "rider")
    rows: list[CatalogueFinding | GoodSign] = [
        row
        for row in known.findings.values()
        if row.family == family and _fits(row, end) and (family != "rider" or _at(row, where))
    ]
    good = "clean" if family == "tyre_wear" else "content" if family == "rider" else ""
    return [*rows, known.good[good]] if good else rows


def _fits(row: CatalogueFinding, end: str) -> bool:
    if end == "bike" or not row.ends:
        return end == "bike" or not row.ends
    return end in row.ends


def _at(row: CatalogueFinding, where: str) -> bool:
    return where == Phase.ANY or Phase.ANY.value in row.phases or where in row.phases
