"""Labels that do not overlap."""

from collections.abc import Sequence
from dataclasses import dataclass


def spread(wanted: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Positions as near as possible to the wanted ones, each at least ``gap`` from the next.

    Nearest in the sense of least squares: without the gaps this is isotonic
    regression, solved by pooling adjacent violators (Barlow et al., Statistical
    Inference under Order Restrictions, 1972). All positions stay within ``low..high``;
    if there is not enough room, the gap becomes smaller. The order of ``wanted`` is kept.
    """
    count = len(wanted)
    if count == 0:
        return []
    if count > 1:
        gap = min(gap, (high - low) / (count - 1))
    order = sorted(range(count), key=lambda index: wanted[index])
    free = _increasing([wanted[index] - place * gap for place, index in enumerate(order)])
    ceiling = max(low, high - (count - 1) * gap)
    places = [0.0] * count
    for place, index in enumerate(order):
        places[index] = min(max(free[place], low), ceiling) + place * gap
    return places


def _increasing(values: Sequence[float]) -> list[float]:
    """The non-decreasing sequence nearest to ``values`` in least squares."""
    blocks: list[tuple[float, int]] = []  # mean, how many
    for value in values:
        mean, size = float(value), 1
        while blocks and blocks[-1][0] > mean:
            before, number = blocks.pop()
            mean = (mean * size + before * number) / (size + number)
            size += number
        blocks.append((mean, size))
    return [mean for mean, size in blocks for _repeat in range(size)]


@dataclass(frozen=True)
class Span:
    """A label along an axis: the wanted position of its middle, and its width."""

    middle: float
    width: float
    words: str


def fitting(spans: Sequence[Span], *, margin: float = 6.0) -> list[Span]:
    """The labels that fit side by side: the first and the last, then the others in order."""
    if len(spans) < 2:
        return list(spans)
    kept = [spans[0]]
    last = spans[-1]
    for span in spans[1:-1]:
        if _clear(kept[-1], span, margin) and _clear(span, last, margin):
            kept.append(span)
    return [*kept, last] if _clear(kept[-1], last, margin) else kept


def _clear(left: Span, right: Span, margin: float) -> bool:
    return left.middle + left.width / 2 + margin <= right.middle - right.width / 2
