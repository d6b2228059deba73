"""What a change should show: the ring on its travel, and beside it sag, trail, seconds.

Where each stands, where it should come, in which band, and where it was read.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .scales import Linear
from .svg import element, number, path, picture, text

WIDTH, HEIGHT, MARGIN = 340.0, 66.0, 14.0
BEFORE_Y, AFTER_Y, TICK_TOP, TICK_FOOT, WORDS_Y = 10.0, 28.0, 40.0, 46.0, 60.0
BAR = 12.0
AROUND_MM = 6.0
ROW, FROM_X = 30.0, 200.0
LEAST_SHARE, LEAST = 0.02, 0.01  # of a figure, and of any: what its scale shows at the least


@dataclass(frozen=True)
class Foretold:
    """Lengths in mm from full extension. ``before``: the band of the ring without the change,
    about ``level``; ``band``: the one with it, about ``expected``. ``usable``: the end of the
    travel, drawn where it is near. ``read``: what was read then."""

    level: float
    before: tuple[float, float]
    expected: float
    band: tuple[float, float]
    usable: float
    read: float | None = None


@dataclass(frozen=True)
class Beside:
    """One more figure that the change moves, in ``words``: each on a scale of its own.

    ``band`` is the one it should come in; without one its ends are those of ``expected``.
    """

    words: str
    was: float
    expected: float
    band: tuple[float, float] | None = None
    read: float | None = None


def foretold(drawn: Foretold | None, *, alt: str, beside: Sequence[Beside] = ()) -> str:
    """Two bars on one scale, the upper one without the change; a diamond is what was read.

    Each figure of ``beside`` has a line under them: its words, and its own bar.
    """
    marks = [] if drawn is None else _ring(drawn)
    top = 0.0 if drawn is None else HEIGHT
    for row, figure in enumerate(beside):
        marks += _beside(figure, top + (row + 0.5) * ROW)
    height = top + len(beside) * ROW
    return picture(*marks, width=WIDTH, height=height, alt=alt, class_="ruler")


def _ring(drawn: Foretold) -> list[str]:
    scale = _scale(drawn)
    marks = [
        _bar(scale, drawn.before, BEFORE_Y, "ring-before"),
        _bar(scale, drawn.band, AFTER_Y, "ring-band"),
        element("circle", class_="was", cx=scale(drawn.level), cy=BEFORE_Y, r=5),
        element("circle", class_="now", cx=scale(drawn.expected), cy=AFTER_Y, r=5),
        _ticks(scale),
    ]
    if scale.low <= drawn.usable <= scale.high:
        x = number(scale(drawn.usable))
        marks.append(path(f"M{x} 2V{number(TICK_FOOT)}", class_="edge"))
    if drawn.read is not None:
        marks.append(_diamond(scale(drawn.read), AFTER_Y))
    return marks


def _beside(figure: Beside, y: float) -> list[str]:
    """The words at the left, and at the right where it was and where it should come."""
    band = figure.band or (figure.expected, figure.expected)
    reach = [figure.was, *band, *([] if figure.read is None else [figure.read])]
    around = max(max(reach) - min(reach), abs(figure.was) * LEAST_SHARE, LEAST) / 5
    scale = Linear(min(reach) - around, max(reach) + around, FROM_X, WIDTH - MARGIN)
    marks = [text(figure.words, x=MARGIN, y=y + 4)]
    if figure.band:
        marks.append(_bar(scale, figure.band, y, "ring-band"))
    else:
        ends = number(scale(figure.was)), number(scale(figure.expected))
        marks.append(path(f"M{ends[0]} {number(y)}H{ends[1]}", class_="way"))
    marks += [
        element("circle", class_="was", cx=scale(figure.was), cy=y, r=5),
        element("circle", class_="now", cx=scale(figure.expected), cy=y, r=5),
    ]
    if figure.read is not None:
        marks.append(_diamond(scale(figure.read), y))
    return marks


def _diamond(x: float, y: float) -> str:
    return path(f"M{number(x)} {number(y - 11)}l7 11l-7 11l-7 -11z", class_="ring-read")


def _scale(drawn: Foretold) -> Linear:
    """From a little before everything drawn to a little after it, in tens."""
    lengths = [*drawn.before, *drawn.band, drawn.level, drawn.expected]
    if drawn.read is not None:
        lengths.append(drawn.read)
    low = 10 * math.floor((min(lengths) - AROUND_MM) / 10)
    high = 10 * math.ceil((max(lengths) + AROUND_MM) / 10)
    return Linear(max(0.0, low), high, MARGIN, WIDTH - MARGIN)


def _bar(scale: Linear, ends: tuple[float, float], middle: float, class_: str) -> str:
    low, high = (min(max(end, scale.low), scale.high) for end in ends)
    return element(
        "rect", class_=class_, x=scale(low), y=middle - BAR / 2,
        width=scale(high) - scale(low), height=BAR, rx=BAR / 2,
    )  # fmt: skip


def _ticks(scale: Linear) -> str:
    tens = range(int(scale.low), int(scale.high) + 1, 10)
    lines = [f"M{number(scale(mm))} {number(TICK_TOP)}V{number(TICK_FOOT)}" for mm in tens]
    words = [text(f"{mm}", x=scale(mm), y=WORDS_Y, anchor="middle") for mm in tens]
    return path(*lines, class_="tick") + "".join(words)
