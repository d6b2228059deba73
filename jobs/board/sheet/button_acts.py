"""Acts sent by a single button of the sheet, and the page that moves a row to another bike."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponseNotAllowed

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.trackday.models import Entry

from .bike_header import bike_header_of, entry_get
from .responses import done, shown

# The kinds of act a single button of the sheet may post.
BUTTON_KINDS = frozenset(
    {
        *("judgement", "expectation", "hold", "release", "place", "withdraw", "read_back"),
        *("keep", "adjuster", "move", "travel-place"),
    }
)


def button_act(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """An act that needs no form of its own."""
    if kind not in BUTTON_KINDS:
        raise Http404
    entry = entry_get(entry_id)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    about = {"entry": entry.pk}
    try:
        act_from_form(request, kind=kind, about=about, trackday=entry.trackday)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return done(request, entry)


def move(request: SignedIn, entry_id: int, row: uuid.UUID) -> HttpResponse:
    """To which bike of the day a row belongs; the row itself in sight."""
    entry = entry_get(entry_id)
    others = Entry.objects.filter(trackday=entry.trackday_id).exclude(pk=entry.pk)
    found = next((r for r in selectors.rows_of_entry(entry) if r.pk == row), None)
    if found is None:
        raise Http404
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "row": found,
        "others": others.select_related("bike", "group", "rider"),
    }
    return shown(request, "move", context)
