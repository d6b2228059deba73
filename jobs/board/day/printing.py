"""The board and the rounds on one A4 page, for when a tablet's battery is empty."""

from django.http import HttpResponse
from django.shortcuts import render

from jobs.people.access import SignedIn
from jobs.worklist.selectors import day_read

from .presenter import board
from .trackday_lookup import trackday_or_404


def printed(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    shown = board(day_read(trackday))
    context = {
        "trackday": trackday,
        "board": shown,
        "ahead": [times for times in shown.day.times if not times.over],
    }
    return render(request, "board/day/print.html", context)
