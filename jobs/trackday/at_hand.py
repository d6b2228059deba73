"""The day a page shows that names none: of two crews, each gets its own."""

from datetime import date

from django.db.models import Exists, OuterRef, Q
from django.http import HttpRequest

from jobs.people.dates import dates_now

from . import clock
from .models import CrewDay, Trackday

CHOSEN = "trackday"  # in the session: which of several days of one date the person works on


def own_trackday(request: HttpRequest) -> Trackday | None:
    """The day at hand of the person who asks, who is signed in."""
    return trackday_at_hand(request.user.pk, chosen=request.session.get(CHOSEN))


def trackday_at_hand(user_id: int | None = None, *, chosen: int | None = None) -> Trackday | None:
    """Today's day, else the next, else the last one; of several on that date see ``days_at_hand``.

    ``chosen``: the one of several that the person picked.
    """
    days = days_at_hand(user_id)
    return next((day for day in days if day.pk == chosen), days[0] if days else None)


def days_at_hand(user_id: int | None = None) -> list[Trackday]:
    """The days of the date at hand: those the person is crew of, or all where that is none.

    Today is the date at the day's own venue. A demo day is today whatever the calendar says.
    One query.
    """
    first, last = dates_now()  # a day so near is today, to come or past: its venue says which
    real = Trackday.objects.filter(clock_anchor=None)
    after = real.filter(date__gt=last).order_by("date").values("date")[:1]
    before = real.filter(date__lt=first).order_by("-date").values("date")[:1]
    near = Q(clock_anchor__isnull=False) | Q(date__range=(first, last))
    crew = CrewDay.objects.filter(trackday=OuterRef("pk"), user=user_id)
    days = Trackday.objects.select_related("venue").annotate(is_mine=Exists(crew))
    found = list(days.filter(near | Q(date__in=after) | Q(date__in=before)).order_by("pk"))
    nearest = min(map(_nearness, found), default=None)
    at_hand = [day for day in found if _nearness(day) == nearest]
    return [day for day in at_hand if day.is_mine] or list(at_hand)


def _nearness(trackday: Trackday) -> tuple[int, date, int]:
    """Today's day before one to come, the next of those first, before the last one that was."""
    today, day = clock.today(trackday), trackday.date
    if trackday.clock_anchor is not None:
        near = 0
    elif day == today:
        near = 1
    else:
        near = 2 if day > today else 3
    ahead = day if day > today else date.max
    return near, ahead, -day.toordinal()
