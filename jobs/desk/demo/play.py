"""The demo's day, played up to a moment, and kept alive when it is started again."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.db import transaction
from django.db.models import Max

from jobs.acts.models import Act
from jobs.trackday import clock
from jobs.trackday.models import Trackday

from .day import day_import
from .earlier import earlier_days_play
from .house import house_build
from .money import money_play
from .routine import routine
from .stage import Stage, minute
from .story import story
from .tyres import tyres_fit

MOMENTS = {"morning": "09:14", "midday": "12:59", "evening": "17:56"}


@dataclass(frozen=True)
class Played:
    trackday: Trackday
    acts: int


@transaction.atomic
def demo_build(*, moment: str, on: date) -> Played:
    """Build the house, its earlier days and the day, played up to ``moment``: one of MOMENTS."""
    venue = house_build()
    earlier_days_play(home=venue, before=on)
    stage = Stage(day_import(venue=venue, on=on))
    tyres_fit(trackday=stage.trackday)
    until = minute(MOMENTS[moment])
    steps = [step for step in (*story(), *routine(stage)) if step.at <= until]
    for step in sorted(steps, key=lambda step: step.at):
        stage.play(step)
    stage.clock_set(until)
    money_play(trackday=stage.trackday, moment=moment)
    return Played(stage.trackday, len(stage.done))


def demo_day() -> Trackday | None:
    """The newest day that lives on a demo clock."""
    days = Trackday.objects.exclude(clock_anchor=None).select_related("venue")
    return days.order_by("-pk").first()


def demo_wake(*, trackday: Trackday) -> datetime:
    """Let the day go on from the moment it was last set, or last worked at if that is later."""
    assert trackday.clock_anchor is not None
    worked = Act.objects.filter(trackday=trackday).aggregate(last=Max("done_at"))["last"]
    trackday.clock_anchor = max(trackday.clock_anchor, worked or trackday.clock_anchor)
    trackday.clock_set_at = datetime.now(UTC)
    trackday.save(update_fields=["clock_anchor", "clock_set_at"])
    return clock.local(trackday, trackday.clock_anchor)
