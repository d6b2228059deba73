"""What a customer's page shows of one bike: made ready from the book, own bikes only."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.people.models import User
from jobs.people.selectors import customers_of_user
from jobs.setups.cards import EndOfBike, ends
from jobs.setups.day_plots import day_plots
from jobs.setups.models import BikePhoto, Reading
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


@dataclass(frozen=True)
class BikeDayForOwner:
    """One day of one bike, as its owner reads it: as it was when the day ended."""

    entry: Entry
    standings: Sequence[Standing]
    stories: Sequence[Story]
    readings: Sequence[Reading]

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
        return timeline_of_entry(self.entry, self.readings)

    @property
    def ends(self) -> list[EndOfBike]:
        return ends(self.standings)


def own_bikes(user: User) -> QuerySet[Bike]:
    """The bikes of this customer, and of nobody else."""
    return Bike.objects.filter(owner__in=customers_of_user(user))


def bikes_with_last_day(user: User) -> list[dict[str, Any]]:
    """Own bikes, each with its newest day. Two queries."""
    newest: dict[int, Entry] = {}
    for entry in own_entries(user):
        newest.setdefault(entry.bike_id, entry)
    return [{"bike": bike, "entry": newest.get(bike.pk)} for bike in own_bikes(user)]


def own_entries(user: User) -> QuerySet[Entry]:
    """Days of own bikes, the newest first."""
    return (
        Entry.objects.filter(bike__owner__in=customers_of_user(user))
        .select_related("trackday__venue", "group", "bike", "rider", "package")
        .order_by("-trackday__date", "-pk")
    )


def own_photos(user: User) -> QuerySet[BikePhoto]:
    """Photos of own bikes, the oldest first: before and after stand in this order."""
    own = customers_of_user(user)
    photos = BikePhoto.objects.filter(bike__owner__in=own, withdrawn_at=None)
    return photos.select_related("photo", "session").order_by("accepted_at")


def bike_day(entry: Entry) -> BikeDayForOwner:
    return BikeDayForOwner(
        entry=entry,
        standings=standings_of_day(entry),
        stories=stories_of_entry(entry),
        readings=readings_of_entry(entry),
    )


def stands_now(bike: Bike, day: BikeDayForOwner | None) -> list[EndOfBike]:
    """Where the adjusters of a bike stand; ``day`` is its newest, None where it had none."""
    return day.ends if day and not day.is_over else ends(standings_of_bike(bike))


def kept_setups_in_words(bike: Bike) -> list[dict[str, Any]]:
    """Named setups with their positions in words, to be set again by hand."""
    return [
        {
            "setup": setup,
            "positions": [
                (words.adjuster_name(p.adjuster), words.position(p.adjuster, p.position))
                for p in setup.positions.all()
            ]
            + [
                (_("%(end)s pressure read") % {"end": End(end).label}, read)
                for end, read in pressures_kept(setup).items()
            ],
        }
        for setup in kept_setups_of_bike(bike)
    ]
