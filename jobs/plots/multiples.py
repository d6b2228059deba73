"""Small multiples: one small plot per quantity, side by side, over the same x axis."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .axes import Frame, PlotSeries, alternative, dots, inner, shown, x_axis, y_axis
from .scales import padded
from .svg import element, number, path, picture, polyline, text

GAP = 22.0


@dataclass(frozen=True)
class Panel:
    """One small plot: a title, one line, and whether its value is constant between points."""

    title: str
    points: Sequence[tuple[float, float]]
    stepped: bool = False


def small_multiples(
    panels: Sequence[Panel],
    *,
    title: str,
    marks: Sequence[tuple[float, str]],
    columns: int = 2,
    same_y: bool = False,
    width: float = 360.0,
    panel_height: float = 104.0,
) -> str:
    """All panels over one common x axis; ``same_y``: also one common y axis.

    Raises ValueError when there is nothing to draw.
    """
    drawn = [panel for panel in panels if panel.points]
    if not drawn:
        raise ValueError("nothing to draw")
    xs = [x for panel in drawn for x, _y in panel.points] + [at for at, _words in marks]
    domain = (min(xs), max(xs) if max(xs) > min(xs) else min(xs) + 1)
    shared = padded((y for panel in drawn for _x, y in panel.points), least=2) if same_y else None
    columns = max(1, min(columns, len(drawn)))
    across = (width - GAP * (columns - 1)) / columns
    parts = [
        element(
            "g",
            _panel(panel, _frame(panel, domain, shared, across, panel_height), marks),
            transform=f"translate({number((index % columns) * (across + GAP))} "
            f"{number((index // columns) * (panel_height + GAP))})",
        )
        for index, panel in enumerate(drawn)
    ]
    rows = math.ceil(len(drawn) / columns)
    series = [PlotSeries(panel.title, panel.points) for panel in drawn]
    return picture(
        *parts,
        width=width,
        height=rows * (panel_height + GAP) - GAP,
        alt=alternative(title, series, marks),
        class_="plot multiples",
    )


def _frame(
    panel: Panel,
    domain: tuple[float, float],
    shared: tuple[float, float] | None,
    width: float,
    height: float,
) -> Frame:
    y = shared or padded((value for _x, value in panel.points), least=2)
    return inner(left=34, top=24, right=width - 34, bottom=height - 22, x=domain, y=y)


def _panel(panel: Panel, frame: Frame, marks: Sequence[tuple[float, str]]) -> str:
    places = [(frame.x(x), frame.y(value)) for x, value in panel.points]
    last_x, last_y = places[-1]
    line = _stepped(places, frame.x.end) if panel.stepped else polyline(places, class_="line s0")
    return (
        text(panel.title, x=0, y=12, class_="panel-name")
        + y_axis(frame, about=2)
        + x_axis(frame, marks)
        + line
        + dots(frame, panel.points[-1:], class_="dot s0")
        + text(
            shown(panel.points[-1][1]),
            x=(frame.x.end if panel.stepped else last_x) + 7,
            y=last_y + 4,
            class_="last",
        )
    )


def _stepped(places: list[tuple[float, float]], end: float) -> str:
    (x0, y0), *rest = places
    pieces = [f"H{number(x)}V{number(y)}" for x, y in rest]
    return path(f"M{number(x0)} {number(y0)}", *pieces, f"H{number(end)}", class_="line s0")
