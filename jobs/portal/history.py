"""What a customer's page shows of one bike: made ready from the book, own bikes only."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Case, Q, QuerySet, Value, When
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.people.models import User
from jobs.setups.cards import EndOfBike, ends
from jobs.setups.day_plots import day_plots
from jobs.setups.models import BikePhoto, Reading
from jobs.setups.reading_kinds import LAP_TIMES
from jobs.setups.selectors import (
    Chapter,
    Standing,
    Story,
    kept_setups_of_bike,
    last_readings,
    pressures_kept,
    readings_of_entry,
    standings_of_bike,
    standings_of_day,
    stories_of_entry,
    timeline_of_entry,
)
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.trackday.ownership import Ownership, ownership_of_user


@dataclass(frozen=True)
class BikeDayForOwner:
    """One day of one bike, as its owner reads it: as it was when the day ended."""

    entry: Entry
    standings: Sequence[Standing]
    stories: Sequence[Story]
    readings: Sequence[Reading]
    is_whole: bool  # or only the machine: nobody's name, words or lap times

    @property
    def is_over(self) -> bool:
        return clock.is_over(self.entry.trackday)

    @property
    def moved(self) -> list[tuple[str, Standing]]:
        """Before and after: what stands elsewhere than in the morning, both legs as one."""
        return [
            (f"{str(end.end.label).capitalize()} {card.name.lower()}", card.standing)
            for end in self.ends
            for card in end.cards
            if card.standing.moved
        ]

    @property
    def last_readings(self) -> list[Reading]:
        return last_readings(list(self.readings))

    @property
    def plots(self) -> list[dict[str, Any]]:
        return day_plots(self.entry, self.standings, self.readings)

    @property
    def chapters(self) -> list[Chapter]:
        chapters = timeline_of_entry(self.entry, self.readings)
        return chapters if self.is_whole else _of_the_machine(chapters)

    @property
    def ends(self) -> list[EndOfBike]:
        return ends(self.standings)


OF_THE_MACHINE = ("change", "count", "reading")


def _of_the_machine(chapters: list[Chapter]) -> list[Chapter]:
    """What was set and read, without the words beside it."""
    kept = [
        Chapter(
            chapter.session,
            [
                replace(line, quiet="", parts=())
                for line in chapter.lines
                if line.kind in OF_THE_MACHINE and not line.withdrawn
            ],
        )
        for chapter in chapters
    ]
    return [chapter for chapter in kept if chapter.lines]


def bikes_with_last_day(user: User) -> list[dict[str, Any]]:
    """The bikes they have and those they had, each with its newest day that they see."""
    ownership = ownership_of_user(user)
    newest: dict[int, Entry] = {}
    for entry in own_entries(ownership):
        newest.setdefault(entry.bike_id, entry)
    return [
        {
            "bike": bike,
            "entry": newest.get(bike.pk),
            "is_sold": bike.owner_id not in ownership.customers,
        }
        for bike in ownership.bikes()
    ]


def own_entries(ownership: Ownership) -> QuerySet[Entry]:
    """The days they see, the newest first."""
    days = ownership.days()
    return days.select_related("trackday__venue", "group", "bike", "rider", "package").order_by(
        "-trackday__date", "-pk"
    )


def own_photos(ownership: Ownership) -> QuerySet[BikePhoto]:
    """Photos taken while the bike was theirs, and those of before that show only the machine.

    The oldest first: before and after stand in this order.
    """
    of_the_machine = Q(bike__owner__in=ownership.customers, machine_only=True)
    photos = BikePhoto.objects.filter(ownership.rows("bike") | of_the_machine, withdrawn_at=None)
    return photos.select_related("photo", "session").order_by("accepted_at")


def photos_of_bike(bike: Bike, ownership: Ownership) -> list[BikePhoto]:
    """As ``own_photos``; what was written beside a photo of another owner is left out."""
    photos = list(own_photos(ownership).filter(bike=bike))
    theirs = ownership.sold_to_them(bike.pk)
    for photo in photos:
        if theirs and photo.done_at < theirs and photo.machine_only:
            photo.words = ""
    return photos


def bike_day(entry: Entry) -> BikeDayForOwner:
    """A day as ``own_entries`` gave it: whole, or only of the machine."""
    is_whole = bool(getattr(entry, "is_whole", False))
    readings = readings_of_entry(entry)
    if not is_whole:
        readings = [one for one in readings if one.kind != LAP_TIMES.name]
    return BikeDayForOwner(
        entry=entry,
        standings=standings_of_day(entry),
        stories=[replace(one, reason="", expectations=()) for one in stories_of_entry(entry)]
        if not is_whole
        else stories_of_entry(entry),
        readings=readings,
        is_whole=is_whole,
    )


def stands_now(bike: Bike, day: BikeDayForOwner | None) -> list[EndOfBike]:
    """Where the adjusters of a bike stand; ``day`` is its newest, None where it had none."""
    return day.ends if day and not day.is_over else ends(standings_of_bike(bike))


def kept_setups_in_words(bike: Bike, ownership: Ownership) -> list[dict[str, Any]]:
    """Named setups with their positions in words, to be set again by hand.

    Those of a former owner only where they agreed, and without what was written on them.
    """
    shown = Q(pk__in=())
    for one in ownership.shown_times():
        shown |= one.rows("bike")
    own = ownership.rows("bike")
    setups = (
        kept_setups_of_bike(bike)
        .filter(own | shown)
        .annotate(is_whole=Case(When(own, then=Value(True)), default=Value(False)))
    )
    return [
        {
            "setup": setup,
            "name": setup.name if setup.is_whole else setup.get_kind_display(),
            "note": setup.note if setup.is_whole else "",
            "positions": [
                (words.adjuster_name(p.adjuster), words.position(p.adjuster, p.position))
                for p in setup.positions.all()
            ]
            + [
                (_("%(end)s pressure read") % {"end": End(end).label}, read)
                for end, read in pressures_kept(setup).items()
            ],
        }
        for setup in setups
    ]
