"""What is being typed on the sheet or on a round's card, worked out at once."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from jobs.acts.tablets import shows_money
from jobs.board.sheet.identity import Head, entry_get, stop_of
from jobs.garage.enums import FittingKind
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.setups.enums import ReadingKind
from jobs.setups.models import Reading
from jobs.setups.selectors import last_readings
from jobs.setups.stops import oil_state
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.worklist.models import ChecklistItem

from .moment import Moment, moment_of
from .outcomes import Outcome, outcomes
from .taken import Taken, taken_from_book, taken_from_round, taken_from_sheet


@require_GET
def on_sheet(request: SignedIn, entry_id: int, kind: str) -> HttpResponse:
    """One reading of the sheet's form, by the names of its measures."""
    if kind not in ReadingKind.values:
        raise Http404
    entry = entry_get(entry_id)
    return _said(request, entry, [taken_from_sheet(kind, request.GET, business_get())])


@require_GET
def on_round(request: SignedIn, entry_id: int, item_id: int) -> HttpResponse:
    """The readings of one task's card."""
    entry = entry_get(entry_id)
    item = get_object_or_404(ChecklistItem, pk=item_id)
    business, typed = business_get(), request.GET.dict()
    taken = [taken_from_round(one, n, typed, business) for n, one in enumerate(item.readings)]
    return _said(request, entry, taken)


def _said(request: SignedIn, entry: Entry, taken: list[Taken]) -> HttpResponse:
    found = outcomes(taken, _moment(request, entry))
    return render(request, "workbench/typed.html", {"outcomes": found, "entry": entry})


def _moment(request: SignedIn, entry: Entry) -> Moment:
    """Asked at every number that is typed: no more is read than the numbers need."""
    now = clock.now(entry.trackday)
    stop = stop_of(entry, now)
    minutes = stop.minutes(now) if stop else None
    return moment_of(
        entry,
        tyres=list(entry.bike.fittings.filter(kind=FittingKind.TYRE, removed_at=None)),
        oil=oil_state(minutes),
        minutes=minutes,
        money=shows_money(request),
    )


def readings_say(request: SignedIn, head: Head, readings: list[Reading]) -> list[Outcome]:
    """What the newest readings of each kind, end and state come to. Five queries."""
    if not readings:
        return []
    newest = last_readings(readings)
    moment = moment_of(
        head.entry,
        tyres=head.tyres,
        oil=head.oil,
        minutes=head.minutes_since_stop,
        money=shows_money(request),  # only to whom it is shown
    )
    return outcomes([taken_from_book(one) for one in newest], moment)
