"""The acts of one tap: judge, place, withdraw, prove, break."""

import uuid
from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse, HttpResponseNotAllowed, QueryDict

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.trackday.models import Entry

from .answers import done, shown
from .identity import entry_get, head_of

# The kinds of act a single button of the sheet may post, and what it carries.
ONE_TAP: dict[str, Callable[[Entry, QueryDict], dict[str, Any]]] = {
    "judgement": lambda entry, data: {
        "expectation": data.get("expectation"),
        "verdict": data.get("verdict"),
        "like_pace": {"yes": True, "no": False}.get(data.get("like_pace", "")),
        "pace": data.get("pace", ""),
        "words": data.get("words", ""),
    },
    "hold": lambda entry, data: {"entry": entry.pk, "words": data.get("words", "")},
    "release": lambda entry, data: {
        "hold": data.get("hold"),
        "reason": data.get("reason", ""),
    },
    "place": lambda entry, data: {"row": data.get("row")},
    "withdraw": lambda entry, data: {"row": data.get("row")},
    "read_back": lambda entry, data: {"row": data.get("row"), "position": data.get("position")},
    "expectation": lambda entry, data: {"row": data.get("row"), "text": data.get("text", "")},
    "keep": lambda entry, data: {
        "entry": entry.pk,
        "kind": data.get("kind"),
        "name": data.get("name", ""),
    },
    "adjuster": lambda entry, data: {
        "entry": entry.pk,
        "adjuster": data.get("adjuster"),
        "state": data.get("state"),
        "words": data.get("words", ""),
    },
    "move": lambda entry, data: {"rows": data.getlist("row"), "to": data.get("to")},
}


def one_tap(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """An act that needs no form of its own."""
    if kind not in ONE_TAP:
        raise Http404
    entry = entry_get(entry_id)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    payload = ONE_TAP[kind](entry, request.POST)
    act_from_form(request, kind=kind, payload=payload, trackday=entry.trackday)
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
        "head": head_of(entry),
        "row": found,
        "others": others.select_related("bike", "group", "rider"),
    }
    return shown(request, "move", context)
