"""The step plot, for a value that is constant until somebody changes it."""

from collections.abc import Sequence

from .axes import (
    Frame,
    PlotSeries,
    alternative,
    dots,
    end_names,
    inner,
    names_width,
    x_axis,
    y_axis,
)
from .scales import padded
from .svg import number, path, picture


def step_plot(
    series: Sequence[PlotSeries],
    *,
    title: str,
    marks: Sequence[tuple[float, str]],
    unit: str = "",
    until: float | None = None,
    width: float = 360.0,
    height: float = 170.0,
) -> str:
    """Each value is drawn level until the next one, and the last until ``until``.

    ``marks`` are the words of the x axis (sessions, times). ``unit`` is shown above the
    figures. Raises ValueError when there is nothing to draw.
    """
    drawn = [one for one in series if one.points]
    xs = [x for one in drawn for x, _y in one.points] + [at for at, _words in marks]
    end = max([*xs, until] if until is not None else xs, default=0.0)
    frame = inner(
        left=38,
        top=22,
        right=width - names_width(drawn),
        bottom=height - 24,
        x=(min(xs, default=0.0), max(end, min(xs, default=0.0) + 1e-9)),
        y=padded((y for one in drawn for _x, y in one.points), least=2),
    )
    lines = "".join(_line(frame, one, index, end) for index, one in enumerate(drawn))
    return picture(
        y_axis(frame, unit=unit),
        x_axis(frame, marks),
        lines,
        end_names(frame, drawn),
        width=width,
        height=height,
        alt=alternative(title, drawn, marks),
        class_="plot steps",
    )


def _line(frame: Frame, one: PlotSeries, index: int, end: float) -> str:
    """A level line, vertical at each change, with a dot where the value was set."""
    first_x, first_y = one.points[0]
    pieces = [f"M{number(frame.x(first_x))} {number(frame.y(first_y))}"]
    for x, y in one.points[1:]:
        pieces.append(f"H{number(frame.x(x))}V{number(frame.y(y))}")
    pieces.append(f"H{number(frame.x(end))}")
    return path(*pieces, class_=f"line s{index}") + dots(frame, one.points, class_=f"dot s{index}")
