"""The page of one bike during the day: where it is, its tasks, its holds, its rider."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.people.access import SignedIn
from jobs.trackday import clock
from jobs.trackday.enums import BikePlace
from jobs.trackday.where import Outing
from jobs.worklist.bikes import BikeDay, to_do_again
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import BikeState, TaskState
from jobs.worklist.rounds import can_do
from jobs.worklist.selectors import day_read

from .alerts import unchecked_words
from .presenter import state_words, weather_words
from .timetable_strip import day_strip, is_moved
from .trackday_lookup import trackday_or_404

# The buttons offered for each place a bike can be at: kind of act, words on the button.
HERE = ("arrived", gettext_lazy("It is here"))
IN = ("bike in", gettext_lazy("Bike in"))
OUT = ("bike out", gettext_lazy("Bike out"))
STAYED = ("did not go out", gettext_lazy("Did not go out"))
TAPS = {
    BikePlace.NOT_ARRIVED: (HERE,),
    BikePlace.IN: (OUT, STAYED),
    BikePlace.OUT: (IN, STAYED),
    BikePlace.DUE_IN: (IN,),
    BikePlace.DID_NOT_GO_OUT: (OUT,),
    BikePlace.GONE_HOME: (HERE,),
}


# What stops a bike, whoever sees it (common practice, no source).
STOP_CONDITIONS = (
    gettext_lazy("tyre: cords, bulge or split"),
    gettext_lazy("losing air"),
    gettext_lazy("bearing play"),
    gettext_lazy("leaking fork seal or shock"),
    gettext_lazy("no damping"),
    gettext_lazy("loose caliper"),
    gettext_lazy("headshake that grows"),
    gettext_lazy("weave nobody can explain"),
)


@dataclass(frozen=True)
class TaskLine:
    """One task, and the session it comes before or after; empty for work done once."""

    task: Task
    session: str


@dataclass(frozen=True)
class TaskGroup:
    """Tasks in the same state; ``folded``: shown only when opened."""

    title: str
    lines: list[TaskLine]
    folded: bool = False


@dataclass(frozen=True)
class OutingLine:
    """One outing so far, with the conditions it inherits."""

    outing: Outing
    weather: str


def work(request: SignedIn, trackday_id: int, entry_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    day = day_read(trackday)
    found = day.by_entry.get(entry_id)
    if found is None:
        raise Http404(_("This bike is not entered on this day."))
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "bike": found,
        "entry": found.entry,
        "word": state_words(found),
        "unchecked": unchecked_words(found) if found.rolled_unchecked else "",
        "held": found.state == BikeState.HELD or bool(found.holds),
        "strip": day_strip(day, found),
        "moved": is_moved(day),
        "wet": bool(day.conditions_now and day.conditions_now.wet),
        "stop_conditions": STOP_CONDITIONS,
        "outings": outing_lines(day, found),
        "taps": TAPS[found.where.place],
        "tasks": task_groups(day, found),
        "can_do": {t.id for t in found.tasks if _may_be_opened(t) and can_do(request.user, t)},
        "groups": [group for group in day.groups if group.pk != found.entry.group_id],
        "alike": _alike(day.bikes, found),
    }
    return render(request, "board/day/work.html", context)


def _may_be_opened(task: Task) -> bool:
    """Tasks that are not over, and safety checks that must be made again."""
    over = task.state in (TaskState.DONE, TaskState.SKIPPED)
    return task.item.pk is not None and (not over or to_do_again(task))


def outing_lines(day: Day, bike: BikeDay) -> list[OutingLine]:
    """The sessions that have begun, the last first."""
    begun = [outing for outing in bike.where.outings if outing.went is not None]
    return [
        OutingLine(outing, weather_words(day.conditions_at(outing.out_at)))
        for outing in reversed(begun)
    ]


def task_groups(day: Day, bike: BikeDay) -> list[TaskGroup]:
    """The tasks of now, of later today, and what was done or missed."""
    sessions = {times.session.pk: str(times.session) for times in day.times}

    def lines(*states: TaskState) -> list[TaskLine]:
        return [
            TaskLine(task, sessions.get(task.session_id or 0, ""))
            for state in states
            for task in bike.tasks
            if task.state == state
        ]

    later = [
        line for line in lines(TaskState.LATER) if _of_this_turnaround(bike, line.task.session_id)
    ]
    done = lines(TaskState.DONE)[::-1]
    again = [line for line in done if to_do_again(line.task)]
    return [
        TaskGroup(_("Open now"), again + lines(TaskState.STARTED, TaskState.OPEN)),
        TaskGroup(_("Before it rolls, and after"), later),
        TaskGroup(_("Missed or skipped"), lines(TaskState.MISSED, TaskState.SKIPPED), folded=True),
        TaskGroup(_("Done"), [line for line in done if line not in again], folded=True),
    ]


def _of_this_turnaround(bike: BikeDay, session_id: int | None) -> bool:
    near = [o.times.session.pk for o in (bike.where.last, bike.where.coming) if o]
    return session_id is None or session_id in near


def _alike(bikes: Sequence[BikeDay], bike: BikeDay) -> list[BikeDay]:
    """Other bikes of the day this one could be mistaken for, by number or by look."""
    mine = bike.entry
    return [
        other
        for other in bikes
        if other.entry.pk != mine.pk
        and (
            (mine.number and other.entry.number == mine.number)
            or (
                bike.look_alike
                and (other.entry.bike.make, other.entry.bike.model, other.entry.bike.colour)
                == (mine.bike.make, mine.bike.model, mine.bike.colour)
            )
        )
    ]
