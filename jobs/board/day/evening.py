"""The evening: what is not handed over, not judged, not priced; and tomorrow's first look."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.billing.selectors.days import day_entries
from jobs.billing.selectors.dues import dues
from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.trackday.enums import Place
from jobs.trackday.models import Trackday
from jobs.trackday.selectors import trackday_after
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.enums import Cadence, TaskState
from jobs.worklist.selectors import day_read

from .gate import trackday_or_404


@dataclass(frozen=True)
class Loose:
    """One bike with what is still loose on it, each in words; ``missed`` is told, not asked."""

    bike: BikeDay
    words: list[str]
    missed: int


def evening(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    unpriced = _unpriced(trackday) if request.user.is_tuner else set()
    found = [_loose(bike, bike.entry.pk in unpriced) for bike in day.bikes]
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "loose": [one for one in found if one.words],
        "settled": [one for one in found if not one.words],
        "over": _is_over(day),
        "next": trackday_after(trackday),
    }
    return render(request, "board/day/evening.html", context)


def _loose(bike: BikeDay, unpriced: bool) -> Loose:
    words = [hold_words(bike)] if bike.holds else []
    if bike.where.place != Place.NOT_ARRIVED:
        words += [str(task.item.text) for task in _not_handed_over(bike)]
    words += _of_the_book(bike)
    if unpriced:
        words.append(_("not priced"))
    missed = sum(1 for task in bike.tasks if task.state == TaskState.MISSED)
    return Loose(bike, words, missed)


def hold_words(bike: BikeDay) -> str:
    return _("held: %(why)s") % {"why": "; ".join(hold.words for hold in bike.holds)}


def _not_handed_over(bike: BikeDay) -> Iterable:
    """Work after the last outing that nobody did, skipped with a reason, or could not do."""
    done = (TaskState.DONE, TaskState.SKIPPED)
    return (
        task for task in bike.tasks if task.item.cadence == Cadence.LAST and task.state not in done
    )


def _of_the_book(bike: BikeDay) -> list[str]:
    judge, read, place, orders = bike.to_judge, bike.not_read_back, bike.unplaced, bike.orders
    counted = (
        (judge, ngettext("%(n)d not judged", "%(n)d not judged", judge)),
        (read, ngettext("%(n)d change not read back", "%(n)d changes not read back", read)),
        (place, ngettext("%(n)d change not placed", "%(n)d changes not placed", place)),
        (orders, ngettext("%(n)d order not done", "%(n)d orders not done", orders)),
    )
    return [words % {"n": n} for n, words in counted if n]


def _unpriced(trackday: Trackday) -> set[int]:
    charges = dues(day_entries(trackday))
    return {
        entry_id
        for entry_id, of_entry in charges.items()
        if any(due.is_open and due.is_unpriced for due in of_entry)
    }


def _is_over(day: Day) -> bool:
    return bool(day.times) and all(times.over for times in day.times)
