"""The form of a reading: large inputs with their units and the last values."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.utils.translation import gettext as _

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage.enums import End, OilState
from jobs.garage.models import Gauge
from jobs.people.access import SignedIn
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.setups import selectors
from jobs.setups.measures import COUNT, TIME, Measure, Switch, unit_shown, units
from jobs.setups.reading_kinds import READING_KINDS, ReadingKind
from jobs.trackday.models import Entry

from ..cells import (
    LastValue,
    before_of,
    most_of,
    places_of,
    ranges_of,
    step_of,
    swaps_of,
)
from ..picks import is_tapped, picks_of
from .bike_header import bike_header_of, entry_get
from .responses import done, shown


def read(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One kind of reading; posting writes it."""
    if kind not in READING_KINDS:
        raise Http404
    known, entry = READING_KINDS[kind], entry_get(entry_id)
    if request.method != "POST":
        return shown(request, "reading", _context(entry, known, {}))
    about = {"entry": entry.pk, "kind": kind}
    try:
        act = act_from_form(request, kind="reading", about=about, trackday=entry.trackday)
    except ValidationError as error:
        return shown(request, "reading", _context(entry, known, request.POST, error.messages))
    if act.outcome == Outcome.REFUSED:
        return shown(request, "reading", _context(entry, known, request.POST))
    return done(request, entry)


def _context(
    entry: Entry, kind: ReadingKind, posted: Any, faults: list[str] | None = None
) -> dict[str, Any]:
    business, head = business_get(), bike_header_of(entry)
    given = _by_end(kind, posted)
    last = [r for r in selectors.readings_of_entry(entry) if r.kind == kind.name]
    before = before_of(entry.bike_id, {kind.name})
    quantities = dict.fromkeys(
        one.quantity for one in kind.numbers if one.quantity not in (COUNT, TIME)
    )
    parts = [_part(kind, end, business, before, given) for end in kind.ends or ("",)]
    return {
        "entry": entry,
        "head": head,
        "tyre_state": given.get("tyre_state") or head.tyre_state,
        "kind": kind,
        "lap_times": given.get(kind.name, "") if kind.as_lap_times else "",
        "parts": parts,
        "has_further": any(part["further"] for part in parts),
        "quantities": [
            {
                "name": quantity,
                "units": units(quantity),
                "chosen": unit_shown(quantity, given, business),
            }
            for quantity in quantities
        ],
        "given": given,
        "tyre_states": [(state.value, state.label) for state in kind.tyre_states],
        "oil": given.get("oil", ""),
        "oils": [("", _("as worked out")), *OilState.choices] if kind.sets_rebound else [],
        "gauges": [g for g in Gauge.objects.all() if g.quantity in quantities],
        "last": last[-4:],
        "faults": faults or [],
    }


def _by_end(kind: ReadingKind, posted: Any) -> Any:
    """What was posted, by today's names: a page kept from before had the cells of one end."""
    end = posted.get("end", "")
    if end not in kind.ends:
        return posted
    of_end = {"place", *kind.groups, *(one.name for one in kind.measures)}
    return {(f"{end}-{name}" if name in of_end else name): value for name, value in posted.items()}


def _part(
    kind: ReadingKind,
    end: str,
    business: Business,
    before: Mapping[tuple[str, str, str], LastValue],
    given: Any,
) -> dict[str, Any]:
    """The cells and taps of one end; of the whole bike, where a kind belongs to no end."""
    prefix = f"{end}-" if end else ""
    cells = [
        _cell(measure, kind, end, business, before, given)
        for measure in kind.measures
        if not is_tapped(measure)
    ]
    places = places_of(kind, business, given.get(f"{prefix}place", ""))
    return {
        "end": end,
        "label": End(end).label if end else "",
        "cells": [cell for cell in cells if not cell["further"]],
        "further": [cell for cell in cells if cell["further"]],
        "picks": picks_of(kind, given, prefix),
        "places": [place for place in places if place.end == end],
    }


def _cell(
    measure: Measure,
    kind: ReadingKind,
    end: str,
    business: Business,
    before: Mapping[tuple[str, str, str], LastValue],
    given: Any,
) -> dict[str, Any]:
    name = f"{end}-{measure.name}" if end else measure.name
    cell = {"measure": measure, "name": name, "value": given.get(name, ""), "further": False}
    if isinstance(measure, Switch):
        return {**cell, "switch": True}
    unit = unit_shown(measure.quantity, given, business)
    last = before.get((kind.name, end, measure.name))
    return {
        **cell,
        "further": measure.further,
        "quantity": measure.quantity,
        "ranges": ranges_of(measure),
        "swaps": swaps_of(kind.name, measure),
        "step": step_of(measure, unit),
        "most": most_of(measure, unit),
        "before": last.in_unit(unit, measure.quantity) if last else "",
    }
