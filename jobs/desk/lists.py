"""What the office's pages list: one fixed number of queries each, whatever their length."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django_stubs_ext import StrOrPromise

from jobs.acts.models import Act
from jobs.backups.selectors import backup_state
from jobs.garage.models import Bike
from jobs.outbox.models import Job
from jobs.outbox.registry import WORDS
from jobs.outbox.selectors import jobs_waiting
from jobs.people.dates import date_in
from jobs.people.models import Customer, Edit, User
from jobs.trackday import clock
from jobs.trackday.models import CrewDay, Entry, RunGroup, Session, Trackday
from jobs.trackday.selectors import trackday_times


def backup_said() -> dict[str, Any]:
    """The age of the last good backup, and whether work that it does not hold came after it."""
    state = backup_state()
    return {"state": state, "newer": state.last is not None and _entered_since(state.last.at)}


def _entered_since(moment: datetime) -> bool:
    """In the office, or trackside on a day not long before; at most two queries."""
    edits = Edit.objects.filter(at__gt=moment)
    days = Trackday.objects.filter(date__gte=moment.date() - timedelta(days=2))
    acts = Act.objects.filter(trackday__in=days, received_at__gt=moment)
    return edits.exists() or acts.exists()


def trackdays() -> QuerySet[Trackday]:
    """The newest first, each with how many bikes, sessions and crew it has: one query."""
    return Trackday.objects.select_related("venue").annotate(
        bikes=_of_day(Entry.objects.filter(absence="")),
        slots=_of_day(Session.objects.all()),
        crew_days=_of_day(CrewDay.objects.all()),
    )


def _of_day(rows: QuerySet[Any]) -> Coalesce:
    # Counted apart: three joins would multiply the rows of a day with each other.
    counted = rows.filter(trackday=OuterRef("pk")).order_by().values("trackday")
    return Coalesce(Subquery(counted.annotate(n=Count("pk")).values("n")), 0)


def coming_days() -> list[Trackday]:
    """Days still to come or running, the nearest first, by the date at their venues. One query.

    A demo day lives on its own clock: while that runs, it never grows old.
    """
    # Nowhere is the date more than one day away from UTC's.
    lately = date_in("UTC") - timedelta(days=1)
    runs = Q(clock_anchor__isnull=False, clock_rate__gt=0)
    rows = trackdays().filter(Q(date__gte=lately) | runs).reverse()
    return [day for day in rows if (day.clock_anchor and day.clock_rate > 0) or _to_come(day)]


def _to_come(day: Trackday) -> bool:
    return day.date >= clock.today(day)


def past_days(coming: Iterable[Trackday]) -> QuerySet[Trackday]:
    """All days but the ``coming`` ones, the newest first."""
    return trackdays().exclude(pk__in=[day.pk for day in coming])


@dataclass(frozen=True)
class ListedSession:
    """One session for the list: planned and expected, at the venue."""

    session: Session
    planned: datetime
    expected: datetime
    until: datetime
    state: str
    late_minutes: int


def timetable(trackday: Trackday) -> list[ListedSession]:
    return [
        ListedSession(
            session=times.session,
            planned=clock.local(trackday, times.session.planned_start),
            expected=clock.local(trackday, times.start),
            until=clock.local(trackday, times.end),
            state=str(times.state.label),
            late_minutes=times.late_minutes,
        )
        for times in trackday_times(trackday).sessions
    ]


def entries(trackday: Trackday) -> list[Entry]:
    """By group, then by number as people count: 9 before 12."""
    rows = Entry.objects.filter(trackday=trackday).select_related(
        "group", "bike", "rider", "payer", "package"
    )
    return sorted(rows, key=lambda e: (e.group.order, e.group.letter, _counted(e.number), e.pk))


def _counted(number: str) -> tuple[int, str]:
    digits = "".join(c for c in number if c.isdecimal())
    return (int(digits) if digits else 10**9, number)


def numbers_used_twice(rows: list[Entry]) -> set[str]:
    """Start numbers that stand on more than one bike of the day."""
    numbers = [row.number for row in rows if row.number]
    return {number for number in numbers if numbers.count(number) > 1}


def groups(trackday: Trackday) -> QuerySet[RunGroup]:
    return RunGroup.objects.filter(trackday=trackday).annotate(
        bikes=Count("entries", filter=Q(entries__absence=""))
    )


def customers(*, words: str = "") -> QuerySet[Customer]:
    """By name; ``words`` look in name, e-mail, phone, bike and frame."""
    found = Customer.objects.prefetch_related(
        Prefetch("bikes", queryset=Bike.objects.order_by("make", "model"))
    )
    for word in words.split():
        found = found.filter(
            Q(name__icontains=word)
            | Q(email__icontains=word)
            | Q(phone__icontains=word)
            | Q(bikes__make__icontains=word)
            | Q(bikes__model__icontains=word)
            | Q(bikes__frame_last4__iexact=word)
        )
    return found.distinct()


def crew() -> QuerySet[User]:
    return User.objects.exclude(role="customer").order_by("-is_active", "first_name")


MOST_JOBS = 50


@dataclass(frozen=True)
class NamedJob:
    """Deferred work with what it is, in words."""

    job: Job
    words: StrOrPromise


def jobs_named(jobs: Iterable[Job]) -> list[NamedJob]:
    return [NamedJob(job, WORDS.get(job.handler, job.handler)) for job in jobs]


def jobs_waiting_by_kind() -> list[tuple[StrOrPromise, int]]:
    """How much work of each kind waits or is being done. One query."""
    counted = jobs_waiting().order_by("handler").values_list("handler").annotate(n=Count("pk"))
    return [(WORDS.get(name, name), n) for name, n in counted]


def edits(*, limit: int = 200) -> QuerySet[Edit]:
    return Edit.objects.select_related("by")[:limit]
