"""The alerts of the day board, as sentences, the most serious first."""

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.garage.words import plain
from jobs.trackday.enums import BikePlace
from jobs.trackday.models import Conditions
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import TaskState
from jobs.worklist.models import PlanWish

# One line for the whole board (common practice, no source: see the method).
BIG_TRACK_CHANGE_C = Decimal(10)


@dataclass(frozen=True)
class Alert:
    text: str
    stops: bool = False
    entry_id: int | None = None


def alerts(day: Day) -> list[Alert]:
    found = [*_held_but_out(day), *_rolled_unchecked(day), *_checks_set_aside(day)]
    found += _beyond_close(day)
    if day.sessions_left:
        found += _weather(day.conditions)
    return [*found, *_unplaced(day)]


def plate(bike: BikeDay) -> str:
    return f"{bike.entry.number or '–'} {bike.entry.group.letter}"


def _held_but_out(day: Day) -> Iterator[Alert]:
    for bike in day.bikes:
        if bike.where.held_but_out and bike.holds:
            yield Alert(
                _("%(plate)s is out though it is held: %(why)s")
                % {"plate": plate(bike), "why": "; ".join(h.words for h in bike.holds)},
                stops=True,
                entry_id=bike.entry.pk,
            )


def _rolled_unchecked(day: Day) -> Iterator[Alert]:
    """Until the check is made, the outing taken back, or the bike gone home."""
    for bike in day.bikes:
        if bike.rolled_unchecked and bike.where.place != BikePlace.GONE_HOME:
            yield Alert(unchecked_words(bike), stops=True, entry_id=bike.entry.pk)


def unchecked_words(bike: BikeDay) -> str:
    if bike.is_out:
        text = _(
            "%(plate)s is out without its arrival safety check. "
            "Make it when it is in, before it rolls again."
        )
    elif bike.where.roll is None:
        text = _("%(plate)s has been out, and its arrival safety check is not made.")
    else:
        text = _(
            "%(plate)s has been out, and its arrival safety check is not made. "
            "Make it before it rolls again."
        )
    return text % {"plate": plate(bike)}


def _checks_set_aside(day: Day) -> Iterator[Alert]:
    """Arrival checks that no plan has before the first roll: set aside, or no time is left."""
    dropped = {wish.task_id: wish for wish in day.wishes if wish.dropped}
    for bike in day.bikes:
        roll = bike.where.roll
        if not bike.where.in_paddock or bike.rolled_unchecked or roll is None or bike.holds:
            continue
        for task in bike.arrival_checks:
            values = {"plate": plate(bike), "who": _set_aside_by(task, dropped)}
            if values["who"]:
                text = _(
                    "%(plate)s: %(who)s set its arrival safety check aside. "
                    "It will roll without, unless somebody makes it."
                )
            elif task.state == TaskState.OPEN and roll - day.at < task.duration:
                text = _(
                    "%(plate)s rolls before its arrival safety check can be made: "
                    "hold it, or it rolls without."
                )
            else:
                continue
            yield Alert(text % values, stops=True, entry_id=bike.entry.pk)


def _set_aside_by(task: Task, dropped: Mapping[uuid.UUID, PlanWish]) -> str:
    """Who dropped or skipped a task; empty if nobody did."""
    if task.state == TaskState.SKIPPED:
        return str(task.marks[-1].by)
    if task.id in dropped and task.state == TaskState.OPEN:
        return str(dropped[task.id].by)
    return ""


def _beyond_close(day: Day) -> Iterator[Alert]:
    if day.expected.beyond_close:
        names = ", ".join(str(times.session) for times in day.expected.beyond_close)
        yield Alert(_("Past the track's close: %(names)s. Cancel, or wait.") % {"names": names})


def _weather(conditions: Sequence[Conditions]) -> Iterator[Alert]:
    if len(conditions) < 2:
        return
    now, before = conditions[-1], conditions[-2]
    if now.wet and not before.wet:
        yield Alert(_("Wet now: dry setups are kept, wet ones are open on the sheets."))
    elif before.wet and not now.wet:
        yield Alert(_("Dry again: back to the dry setups where they were changed."))
    known = [row.track_c for row in conditions if row.track_c is not None]
    if len(known) > 1 and abs(known[-1] - known[0]) >= BIG_TRACK_CHANGE_C:
        degrees = known[-1] - known[0]
        text = _("Track %(n)s °C warmer than in the morning: pressures first, on every bike.")
        if degrees < 0:
            text = _("Track %(n)s °C colder than in the morning: pressures first, on every bike.")
        yield Alert(text % {"n": plain(abs(degrees))})


def _unplaced(day: Day) -> Iterator[Alert]:
    for bike in day.bikes:
        if bike.unplaced:
            text = ngettext(
                "%(plate)s: %(n)d change is not placed. Place or withdraw it on its sheet.",
                "%(plate)s: %(n)d changes are not placed. Place or withdraw them on its sheet.",
                bike.unplaced,
            )
            yield Alert(text % {"plate": plate(bike), "n": bike.unplaced}, entry_id=bike.entry.pk)
