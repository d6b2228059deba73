"""Answers for a reading that is being typed on the bike sheet or on a round's card."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from jobs.acts.tablets import shows_money
from jobs.calculators.reading_context import ReadingContext, reading_context_of
from jobs.calculators.reading_input import (
    ReadingInput,
    reading_from_round,
    readings_from_sheet,
)
from jobs.calculators.results import calculator_results
from jobs.garage.enums import FittingKind
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.setups.reading_kinds import READING_KINDS
from jobs.setups.stops import oil_state
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.trackday.selectors import entries_at_work
from jobs.worklist.models import ChecklistItem
from jobs.worklist.selectors import stop_of_entry


@require_GET
def on_sheet(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One reading of the sheet's form, by the names of its measures."""
    if kind not in READING_KINDS:
        raise Http404
    entry = get_object_or_404(entries_at_work(), pk=entry_id)
    inputs = readings_from_sheet(READING_KINDS[kind], request.GET, business_get())
    return _said(request, entry, inputs)


@require_GET
def on_round(request: SignedIn, entry_id: int, item_id: int) -> HttpResponse:
    """The readings of one task's card."""
    entry = get_object_or_404(entries_at_work(), pk=entry_id)
    item = get_object_or_404(ChecklistItem, pk=item_id)
    business, typed = business_get(), request.GET.dict()
    inputs = [reading_from_round(one, n, typed, business) for n, one in enumerate(item.readings)]
    return _said(request, entry, inputs)


def _said(request: SignedIn, entry: Entry, inputs: list[ReadingInput]) -> HttpResponse:
    found = calculator_results(inputs, _context(request, entry))
    return render(request, "workbench/typed.html", {"results": found, "entry": entry})


def _context(request: SignedIn, entry: Entry) -> ReadingContext:
    """What is known of the bike now. Called at every number typed: it reads only what is needed."""
    now = clock.now(entry.trackday)
    stop = stop_of_entry(entry, now)
    minutes = stop.minutes(now) if stop else None
    return reading_context_of(
        entry,
        tyres=list(entry.bike.fittings.filter(kind=FittingKind.TYRE, removed_at=None)),
        oil=oil_state(minutes),
        minutes=minutes,
        money=shows_money(request),
    )
