"""A ring on its travel: where it stands, where it should come, and where it was read."""

import math
from dataclasses import dataclass

from .scales import Linear
from .svg import element, number, path, picture, text

WIDTH, HEIGHT, MARGIN = 340.0, 66.0, 14.0
BEFORE_Y, AFTER_Y, TICK_TOP, TICK_FOOT, WORDS_Y = 10.0, 28.0, 40.0, 46.0, 60.0
BAR = 12.0
AROUND_MM = 6.0


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


def foretold(drawn: Foretold, *, alt: str) -> str:
    """Two bars on one scale, the upper one without the change; a diamond is what was read."""
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
        x, y = number(scale(drawn.read)), number(AFTER_Y - 11)
        marks.append(path(f"M{x} {y}l7 11l-7 11l-7 -11z", class_="ring-read"))
    return picture(*marks, width=WIDTH, height=HEIGHT, alt=alt, class_="ruler")


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
