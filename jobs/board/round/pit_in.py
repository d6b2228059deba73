"""The pit-in cards of one person: one bike at a time, with only what fades after the stop.

The page holds the cards of all bikes the person is to take for the rest of the day, and when
each group comes in (its calls). Which card is shown is decided by the day's clock on the device
(board/pit_in.js), so that it is right without network too.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from jobs.people.access import SignedIn
from jobs.people.models import Business, User
from jobs.people.selectors import business_get
from jobs.setups.reading_kinds import TYRE_PRESSURE
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.enums import ItemKind
from jobs.worklist.pit_in import Arrival, BikeIn, Share, arrivals
from jobs.worklist.planned.stored import Slots, slots_of
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh

from ..cells import LastValues, befores_of
from ..day.trackday_lookup import trackday_or_404
from ..pit_in_calls import call_of, work_word
from .cards import reading_groups, units_of
from .crew_member import crew_member
from .maker_ranges import MakerRanges, maker_range_words, maker_ranges_of
from .number_cells import Cell, CellGroup, CellTable, cell_tables


@dataclass(frozen=True)
class PitInTask:
    """One piece of work on a card: a form of its own, which ticks one task."""

    task: Task
    word: str
    named: list[Cell]  # the pressures, one for each end
    tables: list[CellTable]  # the other numbers
    groups: list[CellGroup]
    units: dict[str, str]
    maker_ranges: str

    @property
    def asks_numbers(self) -> bool:
        return bool(self.named or self.tables)

    @property
    def asks_words(self) -> bool:
        return self.task.item.kind == ItemKind.WORDS


@dataclass(frozen=True)
class PitInCard:
    """One bike with its work that fades, whatever the session."""

    bike: BikeDay
    tasks: list[PitInTask]

    @property
    def entry(self) -> Entry:
        return self.bike.entry

    @property
    def cell_prefix(self) -> str:
        """Before the id of each input: the page has the same inputs for every bike."""
        return f"bike-{self.entry.pk}-"


def pit_in(request: SignedIn, trackday_id: int, user_id: int) -> HttpResponse:
    trackday = trackday_or_404(trackday_id)
    person = crew_member(user_id)
    day = day_read(trackday)
    shares = _shares_of(day, slots_of(plan_refresh(day=day)), person)
    context = {
        "trackday": trackday,
        "now": clock.now(trackday),
        "person": person,
        "own": person == request.user,
        "calls": [_call_with_bikes(arrival, share) for arrival, share in shares],
        "cards": pit_in_cards(share for _arrival, share in shares),
    }
    return render(request, "board/round/pit_in.html", context)


def _shares_of(day: Day, slots: Slots, person: User) -> list[tuple[Arrival, Share]]:
    found = [(arrival, arrival.share_of(person)) for arrival in arrivals(day, slots)]
    return [(arrival, share) for arrival, share in found if share is not None and share.bikes]


def _call_with_bikes(arrival: Arrival, share: Share) -> dict[str, Any]:
    call = call_of(arrival, share)
    title = _("%(session)s is in") % {"session": arrival.times.session}
    coming = _("%(session)s comes in") % {"session": arrival.times.session}
    bikes = [
        {"entry": one.bike.entry.pk, "tasks": {str(t.item.pk): str(t.id) for t in one.tasks}}
        for one in share.bikes
    ]
    fades = arrival.fades.isoformat()
    return {**call, "fades": fades, "title": title, "coming": coming, "bikes": bikes}


def pit_in_cards(shares: Iterable[Share]) -> list[PitInCard]:
    """A card for each bike of these shares: three queries, whatever their number.

    The same item of two sessions has one form: which session it is for, the page fills in.
    """
    bikes: dict[int, BikeDay] = {}
    tasks: dict[int, dict[int, Task]] = {}
    for one in _bikes(shares):
        bikes.setdefault(one.bike.entry.pk, one.bike)
        for task in one.tasks:
            tasks.setdefault(one.bike.entry.pk, {}).setdefault(task.item.pk, task)
    kinds = {
        asked["kind"] for each in tasks.values() for t in each.values() for asked in t.item.readings
    }
    ids = [bike.entry.bike_id for bike in bikes.values()]
    befores, ranges, business = befores_of(ids, kinds), maker_ranges_of(ids), business_get()
    return [
        PitInCard(
            bike,
            [
                _pit_in_task(task, befores[bike.entry.bike_id], ranges, business)
                for task in tasks[entry].values()
            ],
        )
        for entry, bike in bikes.items()
    ]


def _bikes(shares: Iterable[Share]) -> Iterable[BikeIn]:
    return (one for share in shares for one in share.bikes)


def _pit_in_task(
    task: Task, before: LastValues, ranges: MakerRanges, business: Business
) -> PitInTask:
    item = task.item
    units = units_of(item, {}, business)
    groups = reading_groups(task, {}, units, business, before)
    pressed = [group for group in groups if group.kind.split()[0] == TYRE_PRESSURE.name]
    others = [group for group in groups if group not in pressed]
    return PitInTask(
        task=task,
        word=work_word(task),
        named=[cell for group in pressed for cell in group.numbers],
        tables=cell_tables(others),
        groups=groups,
        units=units,
        maker_ranges=maker_range_words(item, task.entry.bike_id, units, ranges),
    )
