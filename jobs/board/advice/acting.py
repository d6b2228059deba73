"""The acts of one tap on the advice page: answer, overrule, do it, order it, hold, settle."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse, HttpResponseNotAllowed, QueryDict
from django.shortcuts import redirect

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.setups.enums import Verdict
from jobs.trackday.models import Entry

from ..sheet.identity import entry_get


def _moves(data: QueryDict) -> list[dict[str, Any]]:
    rows = zip(data.getlist("adjuster"), data.getlist("from"), data.getlist("to"), strict=False)
    return [{"adjuster": a, "from_position": f, "to_position": t} for a, f, t in rows]


def _change(entry: Entry, data: QueryDict) -> dict[str, Any]:
    return {**_order(entry, data), "read_back": True}


def _order(entry: Entry, data: QueryDict) -> dict[str, Any]:
    """An order carries all that the change will be asked for when it is carried out."""
    return {
        "entry": entry.pk,
        "moves": _moves(data),
        "reason": data.get("reason", ""),
        "step_reason": data.get("step_reason", ""),
        "expectation": data.get("expectation", ""),
        "condition": data.get("condition", ""),
        "finding": data.get("finding") or None,
        "tyre_state": data.get("tyre_state", ""),
    }


KINDS: dict[str, Callable[[Entry, QueryDict], dict[str, Any]]] = {
    "answer": lambda entry, data: {
        "entry": entry.pk,
        "code": data.get("code"),
        "suspect": data.get("suspect"),
        "yes": data.get("yes"),
    },
    "overrule": lambda entry, data: {
        "entry": entry.pk,
        **{k: data.get(k, "") for k in ("code", "end", "function", "direction", "reason")},
    },
    "change": _change,
    "order": _order,
    "hold": lambda entry, data: {"entry": entry.pk, "words": data.get("words", "")},
    "settle": lambda entry, data: {"entry": entry.pk, "note": data.get("note", "")},
    "judgement": lambda entry, data: {
        "expectation": data.get("expectation"),
        "verdict": data.get("verdict"),
        "like_pace": {"yes": True, "no": False}.get(data.get("like_pace", "")),
        "pace": data.get("pace", ""),
        "words": data.get("words", ""),
    },
}


def one_tap(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One act, and back to the advice as it then stands, or to the round it was done on.

    A tuner who judged "not seen" on his round is led to the way back, which is next.
    """
    if kind not in KINDS:
        raise Http404
    entry = entry_get(entry_id)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    payload = KINDS[kind](entry, request.POST)
    act_from_form(request, kind=kind, payload=payload, trackday=entry.trackday)
    way_back_next = request.user.is_tuner and payload.get("verdict") == Verdict.NOT_SEEN
    if "round" in request.POST and not way_back_next:
        return redirect("board:my-round")
    return redirect("board:advice", entry_id=entry.pk)
