"""Which bikes, days, photos and kept setups a customer sees: their own, whole or of the machine."""

from typing import Any

from django.db.models import Case, Q, QuerySet, Value, When
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.people.models import User
from jobs.setups.cards import EndOfBike, ends
from jobs.setups.models import BikePhoto
from jobs.setups.selectors import kept_setups_of_bike, pressures_kept, standings_of_bike
from jobs.trackday.models import Entry
from jobs.trackday.ownership import Ownership, ownership_of_user

from .day import BikeDayForOwner


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
    return days.select_related(
        "trackday__venue", "group", "bike", "rider", "package", "payer"
    ).order_by("-trackday__date", "-pk")


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
