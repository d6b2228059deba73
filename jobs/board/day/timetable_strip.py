"""The timetable strip: one lane for each run group, a line at the present, lunch shaded."""

from datetime import datetime, timedelta

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.plots.strip import Bar, BarState, Lane, Turnaround, strip
from jobs.trackday import clock
from jobs.trackday.clock import SessionTimes
from jobs.trackday.enums import SessionState
from jobs.worklist.bikes import BikeDay
from jobs.worklist.day import Day

BARS = {
    SessionState.PLANNED: BarState.PLANNED,
    SessionState.RUNNING: BarState.RUNNING,
    SessionState.FINISHED: BarState.DONE,
    SessionState.CUT_SHORT: BarState.DONE,
    SessionState.CANCELLED: BarState.CANCELLED,
}


def day_strip(day: Day, bike: BikeDay | None = None) -> SafeString:
    """The whole day as SVG; with a bike, its present turnaround is drawn on its lane."""
    if not day.times:
        return SafeString("")
    zero, lunch = clock.midnight(day.trackday), day.expected.lunch
    lanes = [
        Lane(group.letter, [_bar(t, zero) for t in day.times if t.session.group_id == group.pk])
        for group in day.groups
    ]
    start = min(_minutes(t.start, zero) for t in day.times)
    end = max(_minutes(t.end, zero) for t in day.times)
    svg = strip(
        lanes,
        start=start - 20,
        end=end + 20,
        now=_minutes(day.at, zero),
        hours=_hours(start - 20, end + 20, day, zero),
        alt=_in_words(day),
        turnaround=_turnaround(day, bike, zero),
        running_out=[] if bike else _running_out(day, zero),
        shaded=[(_minutes(lunch[0], zero), _minutes(lunch[1], zero))] if lunch else [],
    )
    return mark_safe(svg)  # noqa: S308 - written and escaped by jobs.plots


def _running_out(day: Day, zero: datetime) -> list[Turnaround]:
    """The minutes each group has in the paddock until it rolls next."""
    now, found = _minutes(day.at, zero), []
    for lane, group in enumerate(day.groups):
        ahead = [t for t in day.times if t.session.group_id == group.pk and not t.over]
        if ahead and ahead[0].state == SessionState.PLANNED:
            found.append(Turnaround(lane, now, _minutes(ahead[0].start, zero)))
    return found


def is_moved(day: Day) -> bool:
    """Whether any session runs at another time than planned: the strip shows both then."""
    return any(times.late_minutes for times in day.times)


def _minutes(moment: datetime, zero: datetime) -> float:
    """Elapsed minutes since local midnight, true also across a clock change."""
    return (moment - zero).total_seconds() / 60


def _bar(times: SessionTimes, zero: datetime) -> Bar:
    start, end = _minutes(times.start, zero), _minutes(times.end, zero)
    planned = None
    if times.late_minutes:
        session = times.session
        planned = (_minutes(session.planned_start, zero), _minutes(session.planned_end, zero))
    return Bar(start, end, BARS[times.state], str(times.session.number), planned)


def _hours(start: float, end: float, day: Day, zero: datetime) -> list[tuple[float, str]]:
    moments = [(hour, zero + timedelta(hours=hour)) for hour in range(int(end // 60) + 1)]
    return [
        (hour * 60.0, f"{clock.local(day.trackday, moment):%H:%M}")
        for hour, moment in moments
        if hour * 60 > start
    ]


def _turnaround(day: Day, bike: BikeDay | None, zero: datetime) -> Turnaround | None:
    if bike is None or bike.where.roll is None or not bike.where.in_paddock:
        return None
    lane = [group.pk for group in day.groups].index(bike.entry.group_id)
    start = bike.where.since or day.at
    return Turnaround(lane, _minutes(start, zero), _minutes(bike.where.roll, zero))


def _in_words(day: Day) -> str:
    """The strip in words: what runs, and what comes next."""
    running = [str(t.session) for t in day.times if t.state == SessionState.RUNNING]
    ahead = next((t for t in day.times if t.state == SessionState.PLANNED), None)
    words = []
    if running:
        words.append(_("running: %(sessions)s") % {"sessions": ", ".join(running)})
    if ahead:
        at = f"{clock.local(day.trackday, ahead.start):%H:%M}"
        words.append(_("next: %(session)s at %(at)s") % {"session": ahead.session, "at": at})
    return _("The day's sessions; ") + ("; ".join(words) or _("none is left"))
