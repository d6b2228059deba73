"""Reasons as sentences.

``reason_message`` gives the template and its values separately, so that a page can translate
the template and show the times at the venue.
"""

from typing import Any

from .model import Cause, LateTask, MissedTask, PlanningDay, PlanningTask


def _(text: str) -> str:
    """Mark a text for translation; it is translated where it is shown."""
    return text


TEMPLATES = {
    Cause.HELPER: _("everyone is on %(busy)s until %(until)s; bike %(bike)s has until %(leaves)s"),
    Cause.TUNER: _("%(who)s on %(busy)s until %(until)s; bike %(bike)s has until %(leaves)s"),
    Cause.TWO_AT_ONCE: _("no two people are free together before %(leaves)s for bike %(bike)s"),
    Cause.BIKE: _("other work on bike %(bike)s takes all the time it is in, until %(leaves)s"),
    Cause.ON_TRACK: _("bike %(bike)s is on track for most of the time; it has until %(leaves)s"),
    Cause.PRECEDENCE: _("%(first)s has to come before it; bike %(bike)s has until %(leaves)s"),
    Cause.PAST: _("its time is over: bike %(bike)s had until %(leaves)s"),
    Cause.CHOICE: _("left out for work that matters more"),
}
NOBODY_HERE = _("nobody who can do it is here; bike %(bike)s has until %(leaves)s")
NO_TIME_BEFORE_FOLLOWERS = _(
    "no time is left before what follows it on bike %(bike)s; bike %(bike)s has until %(leaves)s"
)
DONE_INSTEAD = _("done instead: %(tasks)s")
LATE = _("ends %(minutes)s min late")


def reason_message(day: PlanningDay, entry: MissedTask | LateTask) -> tuple[str, dict[str, Any]]:
    """The template for a reason, and its values. Times are minutes of the day."""
    tasks = {task.id: task for task in day.tasks}
    task, reason = tasks[entry.task], entry.reason
    first = tasks.get(reason.waits_for) if reason.waits_for is not None else None
    values = {
        "bike": task.bike,
        "leaves": reason.leaves,
        "until": reason.busy_until,
        "busy": reason.busy_with,
        "who": _who(day, task),
        "first": first.kind or str(first.id) if first else "",
    }
    cause = reason.cause
    if cause in (Cause.HELPER, Cause.TUNER) and not reason.busy_with:
        return NOBODY_HERE, values
    if cause is Cause.PRECEDENCE and first is None:
        return NO_TIME_BEFORE_FOLLOWERS, values
    return TEMPLATES[cause], values


def reason_words(day: PlanningDay, entry: MissedTask | LateTask) -> str:
    """The whole reason as one English sentence, for the command line."""
    template, values = reason_message(day, entry)
    kinds = [kind or "other work" for kind in values["busy"]]
    shown = {
        **values,
        "leaves": _time_of_day(values["leaves"]),
        "until": _time_of_day(values["until"]),
        "busy": " and ".join(kinds),
    }
    parts = [template % shown]
    if isinstance(entry, LateTask):
        parts.insert(0, LATE % {"minutes": entry.minutes})
    if entry.reason.done_instead:
        done = ", ".join(str(task) for task in entry.reason.done_instead)
        parts.append(DONE_INSTEAD % {"tasks": done})
    return "; ".join(parts)


def _who(day: PlanningDay, task: PlanningTask) -> str:
    count = sum(task.skill in member.skills for member in day.crew)
    if count == 1:
        return f"the {task.skill} is"
    return f"both {task.skill}s are" if count == 2 else f"all {count} {task.skill}s are"


def _time_of_day(minute: int | None) -> str:
    if minute is None:
        return "the end of the day"
    return f"{minute // 60:02d}:{minute % 60:02d}"
