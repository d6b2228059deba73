"""How sure it is that work is done in time, in words: minutes for safety, a chance else."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day
from jobs.worklist.derive import Task
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.chances import chance_of, minutes_to_spare
from jobs.worklist.planned.stored import Slots

UNLIKELY = 50  # percent: a planned follow-up with less stands among what will not fit


def in_time_words(day: Day, plan: DayPlan | None, slots: Slots, bike: BikeDay, task: Task) -> str:
    """Of a safety check the minutes to spare; of other bikes the chance of their follow-up."""
    if task.item.safety:
        return _spare_words(minutes_to_spare(day, slots, task))
    return chance_words(chance_of(plan, bike))


def chance_words(percent: int | None) -> str:
    if percent is None:
        return ""
    return _("follow-up in time: %(n)d %%") % {"n": percent}


def _spare_words(minutes: int | None) -> str:
    if minutes is None:
        return ""
    return ngettext("%(n)d minute to spare", "%(n)d minutes to spare", minutes) % {"n": minutes}
