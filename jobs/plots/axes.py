"""What the plots share: the frame with its round figures, and names at the lines' ends."""

from collections.abc import Sequence
from dataclasses import dataclass

from .labels import Span, fitting, spread
from .scales import Linear, round_ticks
from .svg import element, number, path, text, text_width

LINE_HEIGHT = 14.0
MOST_NAME = 120.0
SHORT_OF_NAME = 8.0  # a line that ends sooner is led to its name


@dataclass(frozen=True)
class Series:
    """A named line: ``points`` are (x, y) in the order of x."""

    name: str
    points: Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Frame:
    """The inside of one plot: its scales, left to right and bottom to top."""

    x: Linear
    y: Linear


def shown(value: float) -> str:
    """A figure as people write it: 12, 0.25, 102.8."""
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
    """Faint lines across at round figures, each with its figure; the unit on the top one."""
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
    """The named places along the foot, as many as fit beside each other."""
    foot = frame.y.start
    spans = [Span(frame.x.clamped(at), text_width(words), words) for at, words in marks]
    words = "".join(text(s.words, x=s.middle, y=foot + 17, anchor="middle") for s in fitting(spans))
    ticks = "".join(f"M{number(s.middle)} {number(foot)}v4" for s in spans)
    base = f"M{number(frame.x.start)} {number(foot)}H{number(frame.x.end)}"
    return path(base, ticks, class_="axis") + words


def end_names(frame: Frame, series: Sequence[Series]) -> str:
    """Each line's name at its right end, moved up or down until none touches another.

    A name that does not stand where its line ends is led to it.
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
            lead = f"M{number(start)} {number(at)}L{number(x - 2)} {number(place)}"
            parts.append(path(lead, class_="lead"))
        parts.append(text(one.name, x=x, y=place + 4, class_=f"name s{index}"))
    return "".join(parts)


def names_width(series: Sequence[Series]) -> float:
    """Room to leave at the right for the lines' names."""
    return min(MOST_NAME, max((text_width(one.name) + 10 for one in series if one.name), default=8))


def dots(frame: Frame, points: Sequence[tuple[float, float]], *, class_: str) -> str:
    return "".join(
        element("circle", class_=class_, cx=frame.x(x), cy=frame.y(y), r=3) for x, y in points
    )


def alternative(title: str, series: Sequence[Series], marks: Sequence[tuple[float, str]]) -> str:
    """All points in words: "Rear rebound: 08:10 14; 10:44 11." Language comes with the names."""
    where = dict(marks)
    said = [
        f"{one.name or title}: "
        + "; ".join(f"{where.get(x, shown(x))} {shown(y)}" for x, y in one.points)
        for one in series
    ]
    return f"{title}. {'. '.join(said)}." if said else title
