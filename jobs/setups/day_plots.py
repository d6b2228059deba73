"""The plots of one bike's day: clicks, pressures, pace."""

from collections.abc import Sequence
from statistics import median
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.plots.axes import PlotSeries
from jobs.plots.lines import line_plot
from jobs.plots.multiples import Panel, small_multiples
from jobs.trackday.clock import local
from jobs.trackday.models import Entry
from jobs.tuning import Refused
from jobs.tuning.pace import Lap, outing_pace

from .enums import RowState
from .measures import PRESSURE, shown_in
from .models import Adjustment, Reading
from .reading_kinds import LAP_TIMES, TYRE_PRESSURE
from .selectors import Standing


def day_plots(
    entry: Entry, standings: Sequence[Standing], readings: Sequence[Reading]
) -> list[dict[str, Any]]:
    """What has moved today, drawn; nothing is drawn of a single point. One query."""
    drawn = [
        (_("Clicks and turns"), _clicks(entry, standings)),
        (_("Pressures"), _pressures(entry, readings)),
        (_("Pace"), _pace(readings)),
    ]
    return [{"title": title, "svg": svg} for title, svg in drawn if svg]


def _clicks(entry: Entry, standings: Sequence[Standing]) -> SafeString | None:
    rows = Adjustment.objects.filter(entry=entry, state=RowState.PLACED).order_by("-accepted_at")
    by_adjuster: dict[int, list[Adjustment]] = {}
    for row in reversed(rows[:100]):
        by_adjuster.setdefault(row.adjuster_id, []).append(row)
    moved = [s for s in _one_of_each_pair(standings) if s.moved and s.adjuster.pk in by_adjuster]
    if not moved:
        return None
    panels = [
        Panel(_panel_name(s, moved), _points(s, by_adjuster[s.adjuster.pk]), stepped=True)
        for s in moved
    ]
    times = sorted({row.done_at for s in moved for row in by_adjuster[s.adjuster.pk]})
    marks = [(at.timestamp() / 60, f"{local(entry.trackday, at):%H:%M}") for at in times]
    svg = small_multiples(panels, title=_("Clicks and turns"), marks=marks)
    return mark_safe(svg)  # noqa: S308 - jobs.plots escapes


def _one_of_each_pair(standings: Sequence[Standing]) -> list[Standing]:
    """Legs that stand alike are drawn once."""
    drawn: dict[object, Standing] = {}
    for s in standings:
        key = (s.adjuster.pair, s.position, s.arrived) if s.adjuster.pair else s.adjuster.pk
        drawn.setdefault(key, s)
    return list(drawn.values())


def _panel_name(standing: Standing, others: Sequence[Standing]) -> str:
    """The leg is named only where the other is drawn beside it."""
    adjuster = standing.adjuster
    name = words.at_end(adjuster.get_end_display(), adjuster.get_function_display())
    alone = sum(1 for other in others if other.adjuster.pair == adjuster.pair) == 1
    if adjuster.pair is None or alone:
        return name
    return f"{name}, {adjuster.get_leg_display()}"


def _points(standing: Standing, rows: Sequence[Adjustment]) -> list[tuple[float, float]]:
    first = rows[0]
    start = [(_minutes(first) - 10, float(standing.arrived or 0))] if first.kind == "change" else []
    return start + [(_minutes(row), float(row.to_position)) for row in rows]


def _minutes(row: Adjustment | Reading) -> float:
    return row.done_at.timestamp() / 60


def _pressures(entry: Entry, readings: Sequence[Reading]) -> SafeString | None:
    taken = [reading for reading in readings if reading.kind == TYRE_PRESSURE.name]
    if not taken:
        return None
    unit = taken[-1].entered("pressure")[0][1]
    series = []
    for end in ("front", "rear"):
        points = [(_minutes(r), _pressure(r, unit)) for r in taken if r.end == end]
        if points:
            name = next(r.get_end_display() for r in taken if r.end == end)
            series.append(PlotSeries(name, points))
    if all(len(one.points) < 2 for one in series):
        return None
    marks = [(_minutes(r), f"{local(entry.trackday, r.done_at):%H:%M}") for r in taken]
    svg = line_plot(series, title=_("Pressures"), marks=marks, unit=unit)
    return mark_safe(svg)  # noqa: S308 - jobs.plots escapes


def _pressure(reading: Reading, unit: str) -> float:
    """In the unit last used; a day that mixes units is drawn in one."""
    value, entered_unit = reading.entered("pressure")[0]
    if entered_unit == unit:
        return float(value)
    return float(shown_in(reading.canonical("pressure")[0], unit, PRESSURE))


def _clean_median(laps: Sequence[float]) -> float:
    try:
        return outing_pace(laps=[Lap(seconds) for seconds in laps]).median_s
    except Refused:  # too few laps to say which are clean
        return median(laps)


def _pace(readings: Sequence[Reading]) -> SafeString | None:
    """The clean median of each outing: out, in and slow laps left out where there are enough."""
    points: list[tuple[float, float]] = []
    marks = []
    for reading in readings:
        if reading.kind != LAP_TIMES.name or reading.session is None:
            continue
        laps = [float(seconds) for seconds in reading.canonical("lap")]
        points.append((reading.session.number, _clean_median(laps)))
        marks.append((reading.session.number, _("session %(n)s") % {"n": reading.session.number}))
    if len(points) < 2:
        return None
    svg = line_plot(
        [PlotSeries(_("clean median"), sorted(points))], title=_("Pace"), marks=marks, unit="s"
    )
    return mark_safe(svg)  # noqa: S308 - jobs.plots escapes
