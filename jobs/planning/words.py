"""Reasons in words a tuner uses.

Templates and their values are kept apart, so that a screen can say them in its own
language and with its own clock: ``reason_message`` gives both.
"""

from typing import Any

from .model import Cause, Day, Late, Missed, Task


def _(text: str) -> str:
    """Mark a text for translation; it is translated where it is shown."""
    return text


TEMPLATES = {
    Cause.HELPER: _("everyone is on %(busy)s until %(until)s; bike %(bike)s has until %(leaves)s"),
    Cause.TUNER: _("%(who)s on %(busy)s until %(until)s; bike %(bike)s has until %(leaves)s"),
    Cause.TWO_AT_ONCE: _("no two people are free together before %(leaves)s for bike %(bike)s"),
    Cause.BIKE: _("bike %(bike)s is being worked on all the time it is in, until %(leaves)s"),
    Cause.ON_TRACK: _("bike %(bike)s is on track for most of the time; it has until %(leaves)s"),
    Cause.PRECEDENCE: _("%(first)s has to come before it; bike %(bike)s has until %(leaves)s"),
    Cause.PAST: _("its time is over: bike %(bike)s had until %(leaves)s"),
    Cause.CHOICE: _("left out for work that matters more"),
}
AWAY = _("nobody who can do it is here; bike %(bike)s has until %(leaves)s")
FIRST_MISSED = _("%(first)s is not done, and it has to come before")
FOLLOWED = _(
    "no time is left before what follows it on bike %(bike)s; bike %(bike)s has until %(leaves)s"
)
TOOK_PLACE = _("done instead: %(tasks)s")
LATE = _("ends %(minutes)s min late")


def reason_message(day: Day, entry: Missed | Late) -> tuple[str, dict[str, Any]]:
    """The template that fits, and its values; minutes are left as minutes."""
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
        return AWAY, values
    if cause is Cause.PRECEDENCE and first is None:
        return FOLLOWED, values
    return TEMPLATES[cause], values


def reason_words(day: Day, entry: Missed | Late) -> str:
    """The whole reason as one English sentence, for the command line."""
    template, values = reason_message(day, entry)
    kinds = [kind or "other work" for kind in values["busy"]]
    shown = {
        **values,
        "leaves": _clock(values["leaves"]),
        "until": _clock(values["until"]),
        "busy": " and ".join(kinds),
    }
    parts = [template % shown]
    if isinstance(entry, Late):
        parts.insert(0, LATE % {"minutes": entry.minutes})
    if entry.reason.took_place:
        done = ", ".join(str(task) for task in entry.reason.took_place)
        parts.append(TOOK_PLACE % {"tasks": done})
    return "; ".join(parts)


def _who(day: Day, task: Task) -> str:
    count = sum(task.skill in member.skills for member in day.crew)
    if count == 1:
        return f"the {task.skill} is"
    return f"both {task.skill}s are" if count == 2 else f"all {count} {task.skill}s are"


def _clock(minute: int | None) -> str:
    if minute is None:
        return "the end of the day"
    return f"{minute // 60:02d}:{minute % 60:02d}"
