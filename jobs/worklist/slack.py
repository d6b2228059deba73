"""Which task comes first, by weighted slack, and the reason in one line.

Cost of missing it per person-minute, times a weight for the bike, less the more time is
left: exp(-slack / 12 min). The weights follow the trade's order after a session:
changed last time, first session of the day, tyre or pressure complaint, the rest (common
practice, no source).
"""

import math
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from .bikes import BikeDay
from .derive import Task

FADE_MINUTES = 12.0
MOST_OVERDUE_MINUTES = 24.0
URGENT = timedelta(minutes=60)  # before the roll (our judgement)
CHANGED, FIRST_OUTING, COMPLAINT, REST, HELD = 4.0, 3.0, 2.0, 1.0, 0.5


def weight(bike: BikeDay) -> tuple[float, str]:
    """The weight of this bike against others, without unit, and the reason in words."""
    if bike.holds:
        return HELD, _("held")
    if bike.changed_last_time:
        return CHANGED, _("changed last time")
    went = [outing for outing in bike.where.outings if outing.went]
    if len(went) == 1:
        return FIRST_OUTING, _("first session of the day")
    if bike.entry.complaint:
        return COMPLAINT, f"“{bike.entry.complaint}”"
    if bike.first_day:
        return REST, _("first day with us")
    return REST, ""


def is_urgent_check(task: Task, bike: BikeDay, at: datetime) -> bool:
    """An arrival check of a bike that rolls within the hour: no other work comes before it."""
    roll = bike.where.roll
    return task.item.arrival_check and roll is not None and roll - at <= URGENT


def priority(task: Task, bike: BikeDay, at: datetime) -> float:
    """The larger, the sooner. Unitless; comparable within one moment only."""
    slack = task.slack_minutes(at)
    if slack < 0:
        # Overdue safety work gains priority by the minute; other work loses it.
        slack = max(slack, -MOST_OVERDUE_MINUTES) if task.item.safety else -slack
    per_minute = task.item.miss_cost / (task.item.planned_minutes * task.item.people)
    return weight(bike)[0] * per_minute * math.exp(-slack / FADE_MINUTES)


def reason(task: Task, bike: BikeDay, at: datetime) -> str:
    """Why this one now: the bike's own reason, then the time."""
    words = [weight(bike)[1], _time_left(task, bike, at)]
    return ", ".join(word for word in words if word)


def _time_left(task: Task, bike: BikeDay, at: datetime) -> str:
    if not task.is_open:
        return str(task.state.label)
    minutes = math.floor(task.slack_minutes(at))
    if minutes < 0:
        return _("overdue")
    if task.item.must_start:
        if minutes == 0:
            return _("start now: it fades")
        return ngettext(
            "fades: start within %(n)d minute", "fades: start within %(n)d minutes", minutes
        ) % {"n": minutes}
    if bike.where.roll is not None:
        left = max(0, math.floor((bike.where.roll - at).total_seconds() / 60))
        return ngettext("rolls in %(n)d minute", "rolls in %(n)d minutes", left) % {"n": left}
    return ngettext("%(n)d minute left", "%(n)d minutes left", minutes) % {"n": minutes}
