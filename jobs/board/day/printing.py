"""One A4 print of the board and the rounds, for the flat battery."""

from django.http import HttpResponse
from django.shortcuts import render

from jobs.people.access import SignedIn
from jobs.worklist.selectors import day_read

from .gate import trackday_or_404
from .shown import board


def printed(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    shown = board(day_read(trackday))
    context = {
        "trackday": trackday,
        "board": shown,
        "ahead": [times for times in shown.day.times if not times.over],
    }
    return render(request, "board/day/print.html", context)
