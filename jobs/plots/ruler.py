"""The ruler of an adjuster: a tick for each click, with the closed end at the left."""

from collections.abc import Sequence
from dataclasses import dataclass

from .labels import Span, fitting
from .scales import Linear, nice_step
from .svg import element, number, path, picture, text, text_width

WIDTH, HEIGHT, MARGIN = 340.0, 44.0, 12.0
MARK_Y, TICK_TOP, TICK_FOOT, WORDS_Y = 11.0, 18.0, 29.0, 42.0
MOST_TICKS = 60


@dataclass(frozen=True)
class Ruler:
    """The content of a ruler.

    Positions are in the adjuster's own unit, counted the way its maker counts:
    ``low..high`` is the counted range and ``step`` one click (or quarter turn, or half
    a millimetre). ``closed_high`` says that the closed end has the highest number (a
    count from open), which reverses the axis so that closed is at the left. ``left_words`` and
    ``right_words`` stand at the ends. ``labels`` are the names of an electronic mode's
    positions, from ``low`` upwards.
    """

    low: float
    high: float
    step: float
    left_words: str
    right_words: str
    now: float | None = None
    was: float | None = None
    closed_high: bool = False
    labels: Sequence[str] = ()


def ruler(drawn: Ruler, *, alt: str) -> str:
    """The position now (filled), the position before (a ring), and an arc between them."""
    scale = _scale(drawn)
    marks = [_ticks(drawn, scale)]
    if drawn.was is not None and drawn.was != drawn.now:
        marks.append(element("circle", class_="was", cx=scale(drawn.was), cy=MARK_Y, r=5.5))
        if drawn.now is not None:
            marks.append(_arc(scale(drawn.was), scale(drawn.now)))
    if drawn.now is not None:
        x = number(scale(drawn.now))
        marks.append(path(f"M{x} 17l-6.5-12h13z", class_="now"))
    marks.append(_end_words(drawn, scale))
    return picture(*marks, width=WIDTH, height=HEIGHT, alt=alt, class_="ruler")


def _scale(drawn: Ruler) -> Linear:
    """The scale of the counted range, longer if a position lies outside it."""
    marks = [float(mark) for mark in (drawn.now, drawn.was) if mark is not None]
    low, high = min([float(drawn.low), *marks]), max([float(drawn.high), *marks])
    left, right = MARGIN, WIDTH - MARGIN
    return Linear(low, high, right, left) if drawn.closed_high else Linear(low, high, left, right)


def _ticks(drawn: Ruler, scale: Linear) -> str:
    """Every step while a hand would count them, else round figures; each fifth is longer."""
    low, high, step = float(drawn.low), float(drawn.high), float(drawn.step)
    long_every = 5
    if (high - low) / step > MOST_TICKS:
        step = nice_step(high - low, MOST_TICKS // 2)
    elif step < 1 and 1 / step == round(1 / step):
        long_every = round(1 / step)  # quarter turns: whole turns are the long ones
    count = int((high - low) / step + 1e-9)
    pieces = []
    for index in range(count + 1):
        long = drawn.labels or index % long_every == 0
        top = TICK_TOP - (0 if not long else 4)
        pieces.append(f"M{number(scale(low + index * step))} {number(top)}V{number(TICK_FOOT)}")
    beyond = scale.low < low or scale.high > high
    edge = path(*(_edge(scale, end) for end in (low, high)), class_="edge") if beyond else ""
    return path(*pieces, class_="tick") + edge


def _edge(scale: Linear, end: float) -> str:
    """The counted end, drawn thicker if a position lies past it."""
    return f"M{number(scale(end))} {number(TICK_TOP - 8)}V{number(TICK_FOOT + 2)}"


def _arc(start: float, end: float) -> str:
    """A low arc from the ring to the filled mark; empty if they are too near."""
    if abs(end - start) < 14:
        return ""
    towards = 1 if end > start else -1
    x0, x1 = start + 6 * towards, end - 7 * towards
    lift = min(8.0, abs(x1 - x0) / 4)
    return path(
        f"M{number(x0)} {number(MARK_Y - 4)}"
        f"Q{number((x0 + x1) / 2)} {number(MARK_Y - 4 - lift)} {number(x1)} {number(MARK_Y - 5)}",
        class_="way",
    )


def _end_words(drawn: Ruler, scale: Linear) -> str:
    if not drawn.labels:
        return text(drawn.left_words, x=0, y=WORDS_Y) + text(
            drawn.right_words, x=WIDTH, y=WORDS_Y, anchor="end"
        )
    spans = [
        Span(scale(float(drawn.low) + index * float(drawn.step)), text_width(name), name)
        for index, name in enumerate(drawn.labels)
    ]
    if drawn.closed_high:
        spans.reverse()
    return "".join(_inside(span) for span in fitting(spans))


def _inside(span: Span) -> str:
    """A name under its tick, moved so that it stays inside the drawing."""
    half = span.width / 2
    middle = min(max(span.middle, half), WIDTH - half)
    return text(span.words, x=middle, y=WORDS_Y, anchor="middle")
