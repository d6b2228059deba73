"""A bike over its days: settings, pressures, pace and what its tyres cost a session.

One point a day, at most ``MOST_DAYS`` of them, the newest. Nothing is drawn of a single point,
and every curve says of how many it is made.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.billing.money import exponent
from jobs.garage import words
from jobs.garage.enums import End, TyreState
from jobs.garage.models import Adjuster
from jobs.plots.axes import PlotSeries
from jobs.plots.lines import line_plot
from jobs.plots.multiples import Panel, small_multiples
from jobs.setups.enums import RowState
from jobs.setups.measures import PRESSURE, shown_in
from jobs.setups.models import Adjustment, Reading
from jobs.setups.reading_kinds import LAP_TIMES, TYRE_PRESSURE
from jobs.trackday.models import Entry
from jobs.tuning.units import symbol_of

from .figures import clean_median

MOST_DAYS = 40
MOST_PANELS = 8
FEW = 5  # points of which no course can be told

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class SeasonPlot:
    """``svg`` is empty where there is too little to draw; ``note`` says how much there is."""

    title: str
    svg: SafeString
    note: str


def season_plots(
    entries: Sequence[Entry],
    tyre_costs: Iterable[tuple[date, str, float]],
    *,
    unit: str,
    currency: str,
) -> list[SeasonPlot]:
    """Of the days ``entries``, the newest first: three queries. None of fewer than two days."""
    days = {entry.pk: entry.trackday.date for entry in entries[:MOST_DAYS]}
    if len(set(days.values())) < 2:
        return []
    whole = {one.pk for one in entries[:MOST_DAYS] if getattr(one, "is_whole", False)}
    readings = list(
        Reading.objects.filter(
            entry__in=days, kind__in=(TYRE_PRESSURE.name, LAP_TIMES.name), withdrawn_at=None
        )
        .prefetch_related("measurements")
        .order_by("accepted_at")
    )
    return [
        _settings(days),
        _pressures(days, readings, unit),
        _pace({pk: days[pk] for pk in whole}, readings),
        _costs(list(tyre_costs), currency),
    ]


def _settings(days: dict[int, date]) -> SeasonPlot:
    """Where each adjuster that moved stood at the end of each day; legs alike once."""
    rows = (
        Adjustment.objects.filter(entry__in=days, state=RowState.PLACED)
        .select_related("adjuster")
        .order_by("seq")
    )
    ends: dict[int, dict[date, float]] = defaultdict(dict)
    adjusters: dict[int, Adjuster] = {}
    for row in rows:
        ends[row.adjuster_id][days[row.entry_id or 0]] = float(row.to_position)
        adjusters[row.adjuster_id] = row.adjuster
    panels: dict[tuple[object, ...], Panel] = {}
    for adjuster in sorted(adjusters.values(), key=lambda a: (a.end, a.order, a.function, a.leg)):
        points = sorted((float(day.toordinal()), at) for day, at in ends[adjuster.pk].items())
        if len({at for _day, at in points}) > 1:
            legs = (adjuster.pair or adjuster.pk, tuple(points))
            name = words.pair_name if legs in panels else words.adjuster_name
            panels[legs] = Panel(name(adjuster), points, stepped=True)
    title = _("Settings at the end of each day")
    moved = list(panels.values())[:MOST_PANELS]
    if not moved:
        return SeasonPlot(title, SafeString(), _("No adjuster ended a day elsewhere than before."))
    svg = small_multiples(moved, title=title, marks=_marks(p.points for p in moved), columns=1)
    return SeasonPlot(title, _safe(svg), _how_many(max(len(p.points) for p in moved)))


def _pressures(days: dict[int, date], readings: Iterable[Reading], unit: str) -> SeasonPlot:
    """The last pressure off track of each day: the state in which days can be compared."""
    last: dict[str, dict[date, float]] = {End.FRONT: {}, End.REAR: {}}
    for one in readings:
        if one.kind == TYRE_PRESSURE.name and one.tyre_state == TyreState.TRACK and one.end:
            figure = shown_in(one.canonical("pressure")[0], unit, PRESSURE)
            last[one.end][days[one.entry_id or 0]] = float(figure)
    series = [_series(str(End(end).label), found) for end, found in last.items() if found]
    return _lines(_("Last tyre pressure off track"), series, symbol_of(unit))


def _pace(days: dict[int, date], readings: Iterable[Reading]) -> SeasonPlot:
    """The quickest session of each day by the middle of its clean laps."""
    best: dict[date, float] = {}
    for one in readings:
        if one.kind != LAP_TIMES.name or one.entry_id not in days:
            continue
        pace = clean_median(one.canonical("lap"))
        if pace is not None:
            day = days[one.entry_id]
            best[day] = min(best.get(day, float(pace)), float(pace))
    return _lines(
        _("Pace of the quickest session"),
        [_series(_("pace"), best)] if best else [],
        "s",
        _("Days at different circuits cannot be compared."),
    )


def _costs(costs: Sequence[tuple[date, str, float]], currency: str) -> SeasonPlot:
    by_end: dict[str, dict[date, float]] = {}
    for day, end, minor in costs:
        by_end.setdefault(end, {})[day] = round(minor / 10 ** exponent(currency), 2)
    series = [_series(str(End(end).label), found) for end, found in sorted(by_end.items())]
    return _lines(
        _("What a tyre cost a session"),
        series,
        currency,
        _("Its price over the sessions it did, on the day it came off."),
    )


def _series(name: str, found: dict[date, float]) -> PlotSeries:
    return PlotSeries(name, sorted((float(day.toordinal()), value) for day, value in found.items()))


def _lines(title: str, series: Sequence[PlotSeries], unit: str, note: str = "") -> SeasonPlot:
    most = max((len(one.points) for one in series), default=0)
    if most < 2:
        return SeasonPlot(title, SafeString(), _how_many(most))
    svg = line_plot(series, title=title, marks=_marks(one.points for one in series), unit=unit)
    return SeasonPlot(title, _safe(svg), " ".join(filter(None, (_how_many(most), note))))


def _how_many(points: int) -> str:
    """How much a curve rests on, honest where that is little."""
    if points == 0:
        return _("Nothing was written down yet.")
    if points == 1:
        return _("One figure so far: a curve begins with the second.")
    if points < FEW:
        return ngettext(
            "Only %(n)s figure: too few to tell a course from chance.",
            "Only %(n)s figures: too few to tell a course from chance.",
            points,
        ) % {"n": points}
    return ngettext("%(n)s figure.", "%(n)s figures.", points) % {"n": points}


def _marks(lines: Iterable[Sequence[tuple[float, float]]]) -> list[tuple[float, str]]:
    """The days of the points, with their date as short as it can be read."""
    at = sorted({x for points in lines for x, _y in points})
    return [(x, date_format(date.fromordinal(int(x)), "j M y")) for x in at]


def _safe(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308 - jobs.plots escapes
