"""The timetable strip: a lane per run group, the now line, and the turnaround of a bike."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from .labels import Span, fitting
from .scales import Linear
from .svg import element, number, path, picture, text, text_width

LANE, BAR, GUTTER, FOOT, RIGHT = 32.0, 24.0, 30.0, 20.0, 8.0


class BarState(StrEnum):
    DONE = "done"
    RUNNING = "running"
    PLANNED = "planned"
    CANCELLED = "cancelled"


@dataclass(frozen=True)
class Bar:
    """One session, in minutes since any common midnight.

    ``planned`` is when it was to run, where that is another time: a thin line under the bar.
    """

    start: float
    end: float
    state: BarState
    words: str = ""
    planned: tuple[float, float] | None = None


@dataclass(frozen=True)
class Lane:
    """One run group: its letter and its sessions."""

    letter: str
    bars: Sequence[Bar]


@dataclass(frozen=True)
class Turnaround:
    """The time a bike stands between two outings, and in which lane it is drawn."""

    lane: int
    start: float
    end: float


def strip(
    lanes: Sequence[Lane],
    *,
    start: float,
    end: float,
    now: float | None,
    hours: Sequence[tuple[float, str]],
    alt: str,
    turnaround: Turnaround | None = None,
    running_out: Sequence[Turnaround] = (),
    shaded: Sequence[tuple[float, float]] = (),
    width: float = 1150.0,
    gutter: float = GUTTER,
) -> str:
    """The day from ``start`` to ``end`` (minutes). ``hours`` are the marks below it;
    ``running_out``: the time left in each lane, as a bar with its minutes;
    ``shaded`` are the times nothing runs (lunch); ``gutter`` is the room for the lanes' names."""
    scale = Linear(start, end, gutter, width - RIGHT)
    height = len(lanes) * LANE + FOOT
    parts = [_shade(scale, span, height - FOOT) for span in shaded]
    for index, lane in enumerate(lanes):
        parts.append(text(lane.letter, x=0, y=index * LANE + 21, class_="lane"))
        parts.extend(_bar(scale, bar, index * LANE + 4) for bar in lane.bars)
    parts.extend(_left(scale, each) for each in running_out)
    if turnaround is not None:
        parts.append(_turnaround(scale, turnaround, now))
    parts.append(_hours(scale, hours, height - 3))
    if now is not None:
        x = number(scale.clamped(now))
        parts.append(path(f"M{x} 0V{number(height - FOOT + 2)}", class_="now-line"))
    return picture(*parts, width=width, height=height, alt=alt, class_="strip")


def _bar(scale: Linear, bar: Bar, top: float) -> str:
    left, right = scale.clamped(bar.start), scale.clamped(bar.end)
    box = element(
        "rect", class_=f"bar {bar.state}", x=left, y=top, width=right - left, height=BAR, rx=5
    )
    if bar.words and text_width(bar.words) + 6 <= right - left:
        box += text(
            bar.words, x=(left + right) / 2, y=top + 16, anchor="middle", class_=f"in {bar.state}"
        )
    if bar.planned is not None:
        was = [number(scale.clamped(at)) for at in bar.planned]
        box += path(f"M{was[0]} {number(top + BAR + 3)}H{was[1]}", class_="was")
    if bar.state is BarState.CANCELLED:
        box += path(f"M{number(left)} {number(top + BAR / 2)}H{number(right)}", class_="struck")
    return box


def _left(scale: Linear, turn: Turnaround) -> str:
    """The time that is left, with its minutes where they have room."""
    left, right = scale.clamped(turn.start), scale.clamped(turn.end)
    if right <= left:
        return ""
    top = turn.lane * LANE + 8
    box = element("rect", class_="left", x=left, y=top, width=right - left, height=BAR - 8)
    words = f"{round(turn.end - turn.start)} min"
    if text_width(words) + 6 > right - left:
        return box
    return box + text(words, x=(left + right) / 2, y=top + 12, anchor="middle", class_="minutes")


def _turnaround(scale: Linear, turn: Turnaround, now: float | None) -> str:
    """The past part of the turnaround as a thin line, the rest as a thick one."""
    y = number(turn.lane * LANE + 4 + BAR / 2)
    split = min(max(turn.start if now is None else now, turn.start), turn.end)
    left, middle, right = (number(scale.clamped(at)) for at in (turn.start, split, turn.end))
    past = path(f"M{left} {y}H{middle}", class_="gone") if split > turn.start else ""
    rest = path(f"M{middle} {y}H{right}", class_="turnaround") if split < turn.end else ""
    return past + rest


def _shade(scale: Linear, span: tuple[float, float], height: float) -> str:
    left, right = scale.clamped(span[0]), scale.clamped(span[1])
    return element("rect", class_="rest", x=left, y=0, width=right - left, height=height)


def _hours(scale: Linear, hours: Sequence[tuple[float, str]], y: float) -> str:
    spans = [Span(scale.clamped(at), text_width(words), words) for at, words in hours]
    return "".join(text(s.words, x=s.middle, y=y, anchor="middle") for s in fitting(spans))
