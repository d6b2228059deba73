"""The sheet itself, its print, and its complete timeline of the day."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.garage.models import Bike
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.setups.cards import ends
from jobs.setups.day_plots import day_plots
from jobs.setups.enums import Verdict
from jobs.setups.reading_kinds import reading_kind_choices
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.worklist.models import Hold

from ..pending_judgements import pending_judgements
from .bike_header import bike_header_of, entry_get
from .reading_results import results_of_readings
from .reading_table import reading_table
from .travel_places import travel_place_question


def sheet(request: SignedIn, entry_id: int) -> HttpResponse:
    return sheet_answer(request, entry_get(entry_id))


def sheet_answer(request: SignedIn, entry: Entry) -> HttpResponse:
    """The sheet, or its body alone where the page around it is already there."""
    template = "body.html" if request.htmx else "sheet.html"  # type: ignore[attr-defined]
    return render(request, f"board/sheet/{template}", sheet_context(request, entry))


def sheet_context(request: SignedIn, entry: Entry) -> dict[str, Any]:
    readings = selectors.readings_of_entry(entry)
    newest = selectors.last_readings(readings)
    standings = selectors.standings_of_entry(entry)
    head = bike_header_of(entry)
    return {
        "entry": entry,
        "head": head,
        "holds": Hold.objects.filter(bike=entry.bike_id, released_at=None).select_related(
            "raised_by"
        ),
        "unplaced": selectors.rows_unplaced(bike=entry.bike),
        "expectations": pending_judgements(entry, head.stop),
        "orders": selectors.orders_open(entry),
        "ends": ends(standings, newest),
        "uncounted": [s for s in standings if s.position is None and not s.is_pressure],
        "readings": reading_table(newest),
        "travel_place": travel_place_question(entry.bike),
        "results": results_of_readings(request, head, readings),
        "chapters": selectors.timeline_of_entry(entry, readings),
        "plots": day_plots(entry, standings, readings),
        "last_time": _last_time(entry, standings),
        "verdicts": Verdict.choices,
        "kinds": reading_kind_choices(),
    }


def _last_time(entry: Entry, standings: list[selectors.Standing]) -> dict[str, Any] | None:
    """How the bike ended its last day at this venue, and what differs from it now."""
    found = selectors.last_time_at_venue(entry)
    if found is None:
        return None
    before, positions = found
    return {
        "entry": before,
        "differences": selectors.way_back(standings, positions),
        "known": bool(positions),
    }


def day(request: SignedIn, entry_id: int) -> HttpResponse:
    """The fragment of the day's timeline, for what does not fit on the sheet."""
    entry = entry_get(entry_id)
    chapters = selectors.timeline_of_entry(entry, selectors.readings_of_entry(entry))
    return render(request, "board/sheet/day.html", {"entry": entry, "chapters": chapters})


def printed(request: SignedIn, entry_id: int) -> HttpResponse:
    """ "As arrived" against now, or against the end of a day that is over, on one A4 page."""
    entry = entry_get(entry_id)
    readings = selectors.readings_of_entry(entry)
    return render(
        request,
        "board/sheet/print.html",
        {
            "entry": entry,
            "head": bike_header_of(entry),
            "is_over": clock.is_over(entry.trackday),
            "ends": ends(selectors.standings_of_day(entry)),
            "readings": selectors.last_readings(readings),
            "kept": selectors.setup_sheets_of(entry),
        },
    )


def bike(request: SignedIn, bike_id: int) -> HttpResponse:
    """The bike's newest entry, or its list of days when it was never booked."""
    found = get_object_or_404(Bike, pk=bike_id)
    newest = Entry.objects.filter(bike=found).order_by("-trackday__date", "-pk").first()
    if newest is not None:
        return redirect("board:sheet", entry_id=newest.pk)
    standings = selectors.standings_of_bike(found)
    return render(request, "board/sheet/bike.html", {"bike": found, "ends": ends(standings)})
