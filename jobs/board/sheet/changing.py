"""Changing and counting an adjuster: adjuster, step, done."""

from decimal import Decimal
from typing import Any

from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.advice.selectors import change_before, expected_of, finding_behind
from jobs.garage import words
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.setups import limits, saying, selectors
from jobs.setups.cards import adjuster_ruler
from jobs.trackday.models import Entry

from ..workbench.moves import move_says
from .answers import done, shown
from .forms import ChangeForm, CountForm
from .identity import Head, entry_get, head_of
from .steps import directions

ORDER_WORDS = ("reason", "step_reason", "second_reason", "tyre_state")
WORDS = (*ORDER_WORDS, "oil", "oil_reason")
# Carried out by order, a change has the order's own unless the form says otherwise.
EXPECTED = ("expectation", "condition")


def change(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """The panel of one adjuster; posting writes the change, or the order for it."""
    entry, adjuster = _found(entry_id, adjuster_id)
    if request.method != "POST":
        return shown(request, "change", _context(request, entry, adjuster, ChangeForm()))
    form = ChangeForm(request.POST)
    if not form.is_valid():
        return shown(request, "change", _context(request, entry, adjuster, form))
    ordered = form.cleaned_data["how"] == "order"
    payload = _payload(form, entry, _legs(adjuster, form.cleaned_data["alone"]), ordered)
    act = act_from_form(
        request, kind="order" if ordered else "change", payload=payload, trackday=entry.trackday
    )
    if act.outcome == Outcome.REFUSED:
        return shown(request, "change", _context(request, entry, adjuster, form))
    return done(request, entry)


def preview(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """The ruler and the words for the step just tapped."""
    entry, adjuster = _found(entry_id, adjuster_id)
    form = ChangeForm(request.GET)
    context = _context(request, entry, adjuster, form)
    return render(request, "board/sheet/preview.html", context)


def count(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """ "Found at": where the adjuster truly stands, counted from its end."""
    entry, adjuster = _found(entry_id, adjuster_id)
    form = CountForm(request.POST or None)
    context = _context(request, entry, adjuster, form)
    if not form.is_valid():
        return shown(request, context["counting"], context)
    act = act_from_form(
        request,
        kind="count",
        payload={
            "entry": entry.pk,
            "counts": [form.counted(adjuster)],
            "turned_by": form.cleaned_data["turned_by"],
        },
        trackday=entry.trackday,
    )
    if act.outcome == Outcome.REFUSED:
        return shown(request, context["counting"], context)
    return done(request, entry)


def _found(entry_id: int, adjuster_id: int) -> tuple[Entry, Adjuster]:
    entry = entry_get(entry_id)
    return entry, get_object_or_404(Adjuster, pk=adjuster_id, bike=entry.bike_id)


def _legs(adjuster: Adjuster, alone: bool) -> list[Adjuster]:
    """Both legs of a pair, the tapped one first, unless this leg alone is meant."""
    if adjuster.pair is None or alone:
        return [adjuster]
    others = Adjuster.objects.filter(bike=adjuster.bike_id, pair=adjuster.pair)
    return [adjuster, *others.exclude(pk=adjuster.pk)]


def rebound_legs(adjuster: Adjuster) -> list[Adjuster]:
    """What is checked with a preload: the rebound of the same end; nothing for others."""
    if adjuster.function != Function.PRELOAD:
        return []
    same_end = Adjuster.objects.filter(bike=adjuster.bike_id, end=adjuster.end, usable=True)
    return list(same_end.filter(function=Function.REBOUND))


def _payload(form: ChangeForm, entry: Entry, legs: list[Adjuster], ordered: bool) -> dict[str, Any]:
    try:
        moves = form.ordered_moves() or form.moves(legs)
        moves += form.rebound_moves(rebound_legs(legs[0]))
    except (KeyError, ValueError, ArithmeticError) as error:
        raise BadRequest(_("The page did not say where the adjuster stood.")) from error
    payload: dict[str, Any] = {
        "entry": entry.pk,
        "moves": moves,
        **form.payload(ORDER_WORDS if ordered else WORDS),
        **form.payload(tuple(name for name in EXPECTED if form.says(name))),
    }
    payload["finding"] = finding_behind(entry, legs[0], payload.get("expectation", ""))
    if not ordered:
        order = form.cleaned_data["order"]
        payload["order"] = str(order) if order else None
        payload["read_back"] = form.cleaned_data["how"] == "read_back"
    return payload


def _context(request: SignedIn, entry: Entry, adjuster: Adjuster, form: Any) -> dict[str, Any]:
    standings = {s.adjuster.pk: s for s in selectors.standings_of_entry(entry)}
    standing = standings[adjuster.pk]
    legs = [standings[leg.pk] for leg in _legs(adjuster, alone=False)]
    head = head_of(entry)
    read = _gauged(standing, entry, head)
    start = read.position if read else standing.position
    end = _wanted(form, start)
    most = limits.small_step(adjuster, business_get())
    return {
        "entry": entry,
        "head": head,
        "adjuster": adjuster,
        "standing": standing,
        "legs": legs,
        "unequal": len({leg.position for leg in legs}) > 1,
        "name": words.pair_name(adjuster) if len(legs) > 1 else words.adjuster_name(adjuster),
        "directions": directions(adjuster, start, most, expected_of(entry, adjuster))
        if start is not None
        else [],
        "form": form,
        "findings": selectors.findings_of_entry(entry),
        "before": _change_before(entry, adjuster, head),
        "is_pressure": standing.is_pressure,
        "counting": "last_set" if standing.is_pressure else "count",
        "start": start,
        "tyre_state": form.data.get("tyre_state") or (read.reading.tyre_state if read else ""),
        "start_aside": _start_aside(standing, read),
        **_rebound(adjuster, standings),
        "picture": adjuster_ruler(adjuster, end if end is not None else start, start),
        **_going(adjuster, start, end, most),
    }


def _gauged(standing: selectors.Standing, entry: Entry, head: Head) -> selectors.Gauged | None:
    """What a pressure starts from: the gauge at this stop, where it was read since it was set."""
    if not standing.is_pressure:
        return None
    session_id = head.stop.session.pk if head.stop and head.stop.at else None
    readings = selectors.readings_of_entry(entry)
    return selectors.gauged(standing, [r for r in readings if r.session_id == session_id])


def _start_aside(standing: selectors.Standing, read: selectors.Gauged | None) -> str:
    """Whose word the start of a pressure is, and for which state of the tyre."""
    if read:
        return " · ".join([_("by the gauge"), saying.reading_aside(read.reading)])
    if not standing.is_pressure or standing.row is None:
        return ""
    return " · ".join(w for w in (_("last set"), standing.row.get_tyre_state_display()) if w)


def _change_before(entry: Entry, adjuster: Adjuster, head: Head) -> str:
    """The change on this end a second one would be confounded with, as a sentence."""
    session_id = head.stop.session.pk if head.stop else None
    mind = change_before(entry, end=adjuster.end, session_id=session_id)
    return saying.adjustment(mind.first, both=saying.moved_alike(mind.rows)) if mind else ""


def _rebound(adjuster: Adjuster, standings: dict[int, selectors.Standing]) -> dict[str, Any]:
    """The rebound beside a preload, where it is counted."""
    legs = [standings[leg.pk] for leg in rebound_legs(adjuster)]
    if not legs or any(leg.position is None for leg in legs):
        return {}
    steps = [(by, f"{by:+d}".replace("-", "−")) for by in (-2, -1, 1, 2)]
    return {"rebound": legs, "rebound_words": legs[0].now_words, "rebound_steps": steps}


def _wanted(form: Any, start: Decimal | None) -> Decimal | None:
    """Where the form would put the adjuster, as far as it is filled in."""
    if start is None or not isinstance(form, ChangeForm) or not form.is_bound:
        return None
    form.is_valid()
    to, by = form.cleaned_data.get("to"), form.cleaned_data.get("by")
    if to is not None:
        return to
    return start + by if by is not None else None


def _going(
    adjuster: Adjuster, start: Decimal | None, end: Decimal | None, most: Decimal | None
) -> dict[str, Any]:
    """From, to, and what stands in the way, in words."""
    if start is None or end is None:
        return {"from_words": words.position_short(adjuster, start)}
    too_far = most is not None and limits.over_step(most, start, end)
    return {
        "from_words": words.position_short(adjuster, start),
        "to_words": words.position_short(adjuster, end),
        "moves_words": words.difference(adjuster, start, end),
        "move_says": move_says(adjuster, start, end),
        "past_end": not limits.in_range(adjuster, end),
        "too_far": words.amount(adjuster, most) if most and too_far else "",
        "left": words.amount(adjuster, min(end - adjuster.lowest, adjuster.highest - end)),
    }
