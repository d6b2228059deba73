"""A line plot: measured points, a fitted line, and its interval."""

from collections.abc import Sequence

from .axes import (
    PlotSeries,
    alternative,
    dots,
    end_names,
    inner,
    names_width,
    shown,
    x_axis,
    y_axis,
)
from .scales import padded
from .svg import number, path, picture, polyline, text

Band = Sequence[tuple[float, float, float]]  # x, low, high


def line_plot(
    series: Sequence[PlotSeries],
    *,
    title: str,
    marks: Sequence[tuple[float, str]],
    unit: str = "",
    joined: bool = True,
    curve: bool = False,
    fitted: Sequence[tuple[float, float]] = (),
    band: Band = (),
    levels: Sequence[tuple[float, str]] = (),
    width: float = 360.0,
    height: float = 170.0,
) -> str:
    """Measured points (``joined`` by a line or not), a fitted line, its interval, limits.

    ``curve``: the points are steps of a smooth curve, drawn without dots; the text alternative
    names only its ends. ``band`` is (x, low, high) in the order of x. ``levels`` are named
    values across the plot, such as a wear limit. Raises ValueError if there is nothing to draw.
    """
    drawn = [one for one in series if one.points]
    ys = [y for one in drawn for _x, y in one.points] + [y for _x, y in fitted]
    ys += [edge for _x, low, high in band for edge in (low, high)] + [y for y, _words in levels]
    xs = [x for one in drawn for x, _y in one.points] + [x for x, _y in fitted]
    xs += [x for x, _low, _high in band] + [at for at, _words in marks]
    low, high = min(xs, default=0.0), max(xs, default=0.0)
    frame = inner(
        left=42,
        top=22,
        right=width - names_width(drawn),
        bottom=height - 24,
        x=(low, high if high > low else low + 1),
        y=padded(ys, least=1e-6),
    )
    parts = [y_axis(frame, unit=unit), x_axis(frame, marks)]
    if band:
        edge = [(x, top) for x, _low, top in band] + [(x, foot) for x, foot, _high in band[::-1]]
        parts.append(polyline([(frame.x(x), frame.y(y)) for x, y in edge], class_="band"))
    for y, words in levels:
        parts.append(
            path(
                f"M{number(frame.x.start)} {number(frame.y(y))}H{number(frame.x.end)}",
                class_="level",
            )
        )
        parts.append(text(words, x=frame.x.start + 4, y=frame.y(y) - 5, class_="level-name"))
    if fitted:
        parts.append(polyline([(frame.x(x), frame.y(y)) for x, y in fitted], class_="fitted"))
    for index, one in enumerate(drawn):
        places = [(frame.x(x), frame.y(y)) for x, y in one.points]
        if joined and len(places) > 1:
            parts.append(polyline(places, class_=f"line s{index}"))
        if not curve:
            parts.append(dots(frame, one.points, class_=f"dot s{index}"))
    parts.append(end_names(frame, drawn))
    said = [_ends_of(one) for one in drawn] if curve else drawn
    alt = alternative(title, said, marks) + _interval_in_words(band)
    return picture(*parts, width=width, height=height, alt=alt, class_="plot lines")


def _ends_of(one: PlotSeries) -> PlotSeries:
    return PlotSeries(one.name, [one.points[0], one.points[-1]])


def _interval_in_words(band: Band) -> str:
    if not band:
        return ""
    _x, low, high = band[-1]
    return f" ({shown(low)} – {shown(high)})"
