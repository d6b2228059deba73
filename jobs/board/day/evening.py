"""The evening page: what is not handed over, not judged or not priced, and the next trackday."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.backups.selectors import last_backup
from jobs.billing.selectors.days import day_entries
from jobs.billing.selectors.due_charges import due_charges
from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.trackday.enums import BikePlace
from jobs.trackday.models import Trackday
from jobs.trackday.selectors import trackday_after
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import Cadence, TaskState
from jobs.worklist.planned.problem import short_name
from jobs.worklist.selectors import day_read

from .trackday_lookup import trackday_or_404


@dataclass(frozen=True)
class UnfinishedBike:
    """One bike and what is still to be done on it, each in words; ``missed``: the safety checks
    and the follow-ups of the day that were missed, in words."""

    bike: BikeDay
    words: list[str]
    missed: str


def evening(request: SignedIn, trackday_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    unpriced = _unpriced(trackday) if request.user.is_tuner else set()
    found = [_unfinished(bike, bike.entry.pk in unpriced) for bike in day.bikes]
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "unfinished": [one for one in found if one.words],
        "finished": [one for one in found if not one.words],
        "over": _is_over(day),
        "next": trackday_after(trackday),
        "backup_due": _is_over(day) and not _is_backed_up(trackday, day),
    }
    return render(request, "board/day/evening.html", context)


def _unfinished(bike: BikeDay, unpriced: bool) -> UnfinishedBike:
    words = [hold_words(bike)] if bike.holds else []
    if bike.rolled_unchecked:
        words.append(_("arrival safety check not made"))
    if bike.where.place != BikePlace.NOT_ARRIVED:
        words += [str(task.item.text) for task in _not_handed_over(bike)]
    words += _of_the_book(bike)
    if unpriced:
        words.append(_("not priced"))
    return UnfinishedBike(bike, words, _missed_words(bike))


def _missed_words(bike: BikeDay) -> str:
    """What was missed and matters in the evening: safety checks, and follow-ups of the package."""
    counted = Counter(
        short_name(task.item.text)
        for task in bike.tasks
        if task.state == TaskState.MISSED
        and (task.item.safety or task.item.cadence == Cadence.FOLLOW_UP)
    )
    return ", ".join(f"{n} × {name}" for name, n in counted.items())


def hold_words(bike: BikeDay) -> str:
    return _("held: %(why)s") % {"why": "; ".join(hold.words for hold in bike.holds)}


def _not_handed_over(bike: BikeDay) -> Iterable[Task]:
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
    charges = due_charges(day_entries(trackday))
    return {
        entry_id
        for entry_id, of_entry in charges.items()
        if any(due.is_open and due.is_unpriced for due in of_entry)
    }


def _is_backed_up(trackday: Trackday, day: Day) -> bool:
    """Whether a good backup was made after the last session: a later one holds the day's work."""
    last = last_backup()
    ended = max(times.end for times in day.times)
    return last is not None and clock.day_time(trackday, last.at) >= ended


def _is_over(day: Day) -> bool:
    return bool(day.times) and all(times.over for times in day.times)
