"""Entering readings: big cells, the unit beside them, the last numbers in sight."""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from django.http import Http404, HttpResponse
from django.utils.translation import gettext as _

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage.enums import End, TyreState
from jobs.garage.models import Gauge
from jobs.people.access import SignedIn
from jobs.people.models import Business
from jobs.setups import selectors
from jobs.setups.enums import ReadingKind
from jobs.setups.measures import (
    COUNT,
    LENGTH,
    MEASURES,
    PRESSURE,
    TEMPERATURE,
    TIME,
    Measure,
    units,
)
from jobs.trackday.models import Entry

from ..cells import STEPS, before_of, most_of
from .answers import done, shown
from .identity import entry_get, head_of
from .laps import lap_seconds

MOST_BYTES = 100_000
WITH_TYRE_STATE = {ReadingKind.PRESSURE, ReadingKind.TYRE_TEMPERATURE}


def read(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One kind of reading; posting writes it."""
    if kind not in ReadingKind.values:
        raise Http404
    entry = entry_get(entry_id)
    if request.method != "POST":
        return shown(request, "reading", _context(entry, kind, {}))
    values, faults = _values(request, kind)
    if faults:
        return shown(request, "reading", _context(entry, kind, request.POST, faults))
    payload = {
        "entry": entry.pk,
        "kind": kind,
        "values": values,
        "gauge": request.POST.get("gauge") or None,
        **{name: request.POST.get(name, "") for name in ("end", "tyre_state", "note")},
    }
    act = act_from_form(request, kind="reading", payload=payload, trackday=entry.trackday)
    if act.outcome == Outcome.REFUSED:
        return shown(request, "reading", _context(entry, kind, request.POST))
    return done(request, entry)


def _values(request: SignedIn, kind: str) -> tuple[list[dict[str, Any]], list[str]]:
    """The numbers typed, each with its unit; what could not be read, in words."""
    if kind == ReadingKind.LAPS:
        seconds, faults = lap_seconds(_laps_text(request))
        laps = enumerate(seconds)
        return [_value("lap", value, "s", index) for index, value in laps], faults
    values, faults = [], []
    for measure in MEASURES[kind]:
        unit = request.POST.get(f"unit_{measure.quantity}", "") or units(measure.quantity)[0]
        typed = [text.strip() for text in request.POST.getlist(measure.name) if text.strip()]
        for index, text in enumerate(typed):
            try:
                values.append(_value(measure.name, Decimal(text.replace(",", ".")), unit, index))
            except InvalidOperation:
                faults.append(
                    _("%(name)s: “%(text)s” is not a number.")
                    % {"name": measure.words, "text": text}
                )
    return values, faults


def _laps_text(request: SignedIn) -> str:
    """What was pasted, and what the file holds."""
    file = request.FILES.get("file")
    held = file.read(MOST_BYTES).decode("utf-8-sig", errors="replace") if file else ""
    return "\n".join([request.POST.get("laps", ""), held])


def _value(name: str, value: Decimal, unit: str, index: int) -> dict[str, Any]:
    return {"name": name, "value": str(value), "unit": unit, "index": index}


def _context(
    entry: Entry, kind: str, given: Any, faults: list[str] | None = None
) -> dict[str, Any]:
    business = Business.objects.first()
    last = [r for r in selectors.readings_of_entry(entry) if r.kind == kind]
    before = before_of(entry.bike_id, {kind})
    cells = [_cell(measure, kind, business, before, given) for measure in MEASURES[kind]]
    quantities = dict.fromkeys(
        m.quantity for m in MEASURES[kind] if m.quantity not in (COUNT, TIME)
    )
    return {
        "entry": entry,
        "head": head_of(entry),
        "kind": kind,
        "kind_label": ReadingKind(kind).label,
        "cells": cells,
        "quantities": [
            {
                "name": quantity,
                "units": units(quantity),
                "chosen": given.get(f"unit_{quantity}") or _usual(quantity, business),
            }
            for quantity in quantities
        ],
        "given": given,
        "ends": End.choices if kind != ReadingKind.LAPS else [],
        "tyre_states": TyreState.choices if kind in WITH_TYRE_STATE else [],
        "gauges": [g for g in Gauge.objects.all() if g.quantity in quantities],
        "last": last[-4:],
        "faults": faults or [],
    }


def _cell(
    measure: Measure,
    kind: str,
    business: Business | None,
    before: Mapping[tuple[str, str, str], str],
    given: Any,
) -> dict[str, Any]:
    unit = given.get(f"unit_{measure.quantity}") or _usual(measure.quantity, business)
    return {
        "measure": measure,
        "value": given.get(measure.name, ""),
        "switch": measure.quantity == COUNT and measure.high == 1,
        "step": STEPS.get(unit, "1"),
        "most": most_of(measure, unit),
        "before": {
            end: before[kind, end, measure.name]
            for end in End.values
            if (kind, end, measure.name) in before
        },
    }


def _usual(quantity: str, business: Business | None) -> str:
    """The business's unit where it has one, else the canonical."""
    chosen = {
        PRESSURE: business.pressure_unit if business else "",
        TEMPERATURE: business.temperature_unit if business else "",
        LENGTH: "mm",
    }.get(quantity, "")
    return chosen or units(quantity)[0]
