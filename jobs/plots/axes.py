"""What the plots share: the frame, its axes with round figures, and names of the lines."""

from collections.abc import Sequence
from dataclasses import dataclass

from .labels import Span, fitting, spread
from .scales import Linear, round_ticks
from .svg import element, number, path, text, text_width

LINE_HEIGHT = 14.0
MOST_NAME = 120.0
SHORT_OF_NAME = 8.0  # a line that ends so far before its name is connected to it


@dataclass(frozen=True)
class PlotSeries:
    """A named line: ``points`` are (x, y) in the order of x."""

    name: str
    points: Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Frame:
    """The area of one plot: its scales from left to right and from bottom to top."""

    x: Linear
    y: Linear


def shown(value: float) -> str:
    """A number as people write it: 12, 0.25, 102.8."""
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


def inner(
    *,
    left: float,
    top: float,
    right: float,
    bottom: float,
    x: tuple[float, float],
    y: tuple[float, float],
) -> Frame:
    """A frame inside the given box for these domains."""
    return Frame(Linear(*x, left, right), Linear(*y, bottom, top))


def y_axis(frame: Frame, *, unit: str = "", about: int = 4) -> str:
    """Horizontal lines at round figures with their labels; the unit above the top one."""
    ticks = round_ticks(frame.y.low, frame.y.high, about)
    lines = "".join(
        f"M{number(frame.x.start)} {number(frame.y(t))}H{number(frame.x.end)}" for t in ticks
    )
    figures = "".join(
        text(shown(t), x=frame.x.start - 6, y=frame.y(t) + 4, anchor="end") for t in ticks
    )
    above = text(unit, x=0, y=frame.y.end - 8, class_="unit") if unit else ""
    return path(lines, class_="grid") + figures + above


def x_axis(frame: Frame, marks: Sequence[tuple[float, str]]) -> str:
    """The marks of the x axis with their words, as many as fit side by side."""
    foot = frame.y.start
    spans = [Span(frame.x.clamped(at), text_width(words), words) for at, words in marks]
    words = "".join(text(s.words, x=s.middle, y=foot + 17, anchor="middle") for s in fitting(spans))
    ticks = "".join(f"M{number(s.middle)} {number(foot)}v4" for s in spans)
    base = f"M{number(frame.x.start)} {number(foot)}H{number(frame.x.end)}"
    return path(base, ticks, class_="axis") + words


def end_names(frame: Frame, series: Sequence[PlotSeries]) -> str:
    """The name of each line at its right end, moved up or down so that none overlap.

    A name that is not beside the end of its line is connected to it.
    """
    named = [(index, one) for index, one in enumerate(series) if one.name and one.points]
    wanted = [frame.y.clamped(one.points[-1][1]) for _index, one in named]
    places = spread(wanted, gap=LINE_HEIGHT, low=frame.y.end, high=frame.y.start)
    parts = []
    for (index, one), at, place in zip(named, wanted, places, strict=True):
        x, ends = frame.x.end + 8, frame.x(one.points[-1][0])
        short = ends < frame.x.end - SHORT_OF_NAME
        if short or abs(place - at) > 3:
            start = ends + 5 if short else frame.x.end + 1
            connector = f"M{number(start)} {number(at)}L{number(x - 2)} {number(place)}"
            parts.append(path(connector, class_="lead"))
        parts.append(text(one.name, x=x, y=place + 4, class_=f"name s{index}"))
    return "".join(parts)


def names_width(series: Sequence[PlotSeries]) -> float:
    """The width to leave at the right for the names of the lines."""
    return min(MOST_NAME, max((text_width(one.name) + 10 for one in series if one.name), default=8))


def dots(frame: Frame, points: Sequence[tuple[float, float]], *, class_: str) -> str:
    return "".join(
        element("circle", class_=class_, cx=frame.x(x), cy=frame.y(y), r=3) for x, y in points
    )


def alternative(
    title: str, series: Sequence[PlotSeries], marks: Sequence[tuple[float, str]]
) -> str:
    """All points in words, for example "Rear rebound: 08:10 14; 10:44 11."."""
    where = dict(marks)
    said = [
        f"{one.name or title}: "
        + "; ".join(f"{where.get(x, shown(x))} {shown(y)}" for x, y in one.points)
        for one in series
    ]
    return f"{title}. {'. '.join(said)}." if said else title
