"""The database of a benchmark, and a trackday of any size in it."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection
from django.test.utils import override_settings

from jobs.garage.enums import End, Firming, Function
from jobs.garage.models import Adjuster, Bike
from jobs.people.dates import date_in
from jobs.people.enums import Role
from jobs.people.models import Business, Customer, Rider, User
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Session, Trackday, Venue

ZONE = ZoneInfo("Europe/Dublin")
GROUPS = "ABCD"
SESSIONS = 6


@contextmanager
def bench_database() -> Iterator[None]:
    """A fresh database beside the configured one, dropped at the end."""
    configured = connection.settings_dict["NAME"]
    if connection.vendor == "sqlite":  # on disk: in memory a commit costs nothing
        connection.settings_dict["TEST"]["NAME"] = str(settings.DATA_DIR / "bench.sqlite3")
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(configured, verbosity=0)


@contextmanager
def bench_settings() -> Iterator[None]:
    """The server is ready without collected static files; its worker makes no backup of the
    bench's database among those of the place, and files are kept in a folder that is removed."""
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    storages = {**settings.STORAGES, "staticfiles": plain}
    with (
        tempfile.TemporaryDirectory() as folder,
        override_settings(STORAGES=storages, BACKUP_HOUR=None, MEDIA_ROOT=folder),
    ):
        yield


@dataclass(frozen=True)
class BenchDay:
    trackday: Trackday
    tuner: User
    entries: list[Entry]


def bench_day(*, bikes: int) -> BenchDay:
    """``bikes`` booked on a trackday that stands at 08:00 today."""
    Business.objects.create(name="Bench")
    tuner = User.objects.create(username="bench", role=Role.TUNER)
    start = datetime.combine(date_in(str(ZONE)), time(8), ZONE)
    trackday = Trackday.objects.create(
        venue=Venue.objects.create(name="Bench", timezone=str(ZONE)),
        name="Bench",
        date=start.date(),
        clock_anchor=start,
        clock_set_at=start,
        clock_rate=Decimal(0),
    )
    groups = [
        RunGroup.objects.create(trackday=trackday, letter=letter, order=order)
        for order, letter in enumerate(GROUPS)
    ]
    for turn in range(SESSIONS):
        for group in groups:
            _session(group, turn, start)
    package = ServicePackage.objects.create(code="full-day", name="Full day", follow_ups=SESSIONS)
    entries = [_entry(number, groups[number % len(groups)], package) for number in range(bikes)]
    return BenchDay(trackday, tuner, entries)


def _session(group: RunGroup, turn: int, start: datetime) -> None:
    begins = start + timedelta(minutes=60 + 20 * (turn * len(GROUPS) + group.order))
    Session.objects.create(
        trackday=group.trackday,
        group=group,
        number=turn + 1,
        planned_start=begins,
        planned_end=begins + timedelta(minutes=18),
    )


def _entry(number: int, group: RunGroup, package: ServicePackage) -> Entry:
    owner = Customer.objects.create(name=f"Customer {number}")
    bike = Bike.objects.create(owner=owner, make="Corrib", model=f"R{number}")
    for end in End.values:
        Adjuster.objects.create(
            bike=bike,
            end=end,
            function=Function.REBOUND,
            highest=Decimal(24),
            firming=Firming.DOWN,
            range_counted=True,
        )
    return Entry.objects.create(
        trackday=group.trackday,
        group=group,
        bike=bike,
        rider=Rider.objects.create(customer=owner, name=owner.name),
        payer=owner,
        package=package,
        number=str(number + 1),
        bay=str(number + 1),
    )
