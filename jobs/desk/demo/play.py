"""The day of the demo, played up to a moment; its clock goes on when the demo is started again."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.conf import settings
from django.core.management.base import CommandError
from django.db import transaction
from django.db.models import Max

from jobs.acts.models import Act
from jobs.people.dates import date_in
from jobs.people.selectors import business_get
from jobs.trackday import clock
from jobs.trackday.models import Trackday
from jobs.worklist.services.learning import minutes_learn

from .business import business_build, fixture
from .day import day_import
from .earlier import earlier_days_play
from .money import money_play
from .player import DayPlayer, minute
from .routine import routine
from .springs import spring_adjusters_add, spring_swap
from .story import story
from .tyres import tyres_fit

MOMENTS = {"morning": "09:14", "midday": "12:59", "evening": "17:56"}


Progress = Callable[[int, int], None]


def unseen(done: int, steps: int) -> None:
    """Progress that nobody looks at."""


@dataclass(frozen=True)
class DemoDay:
    trackday: Trackday
    acts: int


def demo_fresh(*, moment: str, progress: Progress = unseen) -> DemoDay:
    """A fresh day of today at that moment. Raises CommandError in words in a place of real work."""
    if not settings.DEMO:
        raise CommandError("This invents a day: set DEMO=1 to say that you mean it.")
    people = fixture("people.json")
    if business_get().name not in ("", people["business"]["name"]):
        raise CommandError("This installation belongs to a real business: no demo is loaded.")
    if Trackday.objects.filter(clock_anchor=None).exists():
        raise CommandError("There are real trackdays here: no demo is loaded.")
    today = date_in(people["venue"]["timezone"])
    return demo_build(moment=moment, on=today, progress=progress)


@transaction.atomic
def demo_build(*, moment: str, on: date, progress: Progress = unseen) -> DemoDay:
    """Build the house, its earlier days and the day, played up to ``moment``: one of MOMENTS.

    ``progress`` is told how many of how many acts of the day are done.
    """
    venue = business_build()
    earlier_days_play(home=venue, before=on)
    player = DayPlayer(day_import(venue=venue, on=on))
    tyres_fit(trackday=player.trackday)
    spring_adjusters_add(player)
    minutes_learn(before=player.trackday)
    until = minute(MOMENTS[moment])
    steps = [step for step in (*story(), *spring_swap(), *routine(player)) if step.at <= until]
    for number, step in enumerate(sorted(steps, key=lambda step: step.at), 1):
        player.play(step)
        progress(number, len(steps))
    player.clock_set(until)
    money_play(trackday=player.trackday, moment=moment)
    return DemoDay(player.trackday, len(player.done))


def is_demo() -> bool:
    """Whether this database holds the demo: only its days have a clock that was set."""
    return demo_day() is not None


def demo_day() -> Trackday | None:
    """The newest trackday that has a demo clock."""
    days = Trackday.objects.exclude(clock_anchor=None).select_related("venue")
    return days.order_by("-pk").first()


def demo_resume(*, trackday: Trackday) -> datetime:
    """Let the day go on from the moment it was last set, or last worked at if that is later."""
    assert trackday.clock_anchor is not None
    worked = Act.objects.filter(trackday=trackday).aggregate(last=Max("done_at"))["last"]
    trackday.clock_anchor = max(trackday.clock_anchor, worked or trackday.clock_anchor)
    trackday.clock_set_at = datetime.now(UTC)
    trackday.save(update_fields=["clock_anchor", "clock_set_at"])
    return clock.local(trackday, trackday.clock_anchor)
