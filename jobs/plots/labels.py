"""Labels that do not collide."""

from collections.abc import Sequence
from dataclasses import dataclass


def spread(wanted: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Places as near as possible to the wanted ones, each at least ``gap`` from the next.

    Nearest in the sense of least squares: with the gaps taken out this is isotonic
    regression, solved by pooling adjacent violators (Barlow et al., Statistical
    Inference under Order Restrictions, 1972). All places stay within ``low..high``;
    where so many do not fit, the gap shrinks evenly. The order of ``wanted`` is kept.
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
    """A label along an axis: where its middle wants to be, and its width."""

    middle: float
    width: float
    words: str


def fitting(spans: Sequence[Span], *, air: float = 6.0) -> list[Span]:
    """The labels that can stand beside each other: the first and last, then in order."""
    if len(spans) < 2:
        return list(spans)
    kept = [spans[0]]
    last = spans[-1]
    for span in spans[1:-1]:
        if _clear(kept[-1], span, air) and _clear(span, last, air):
            kept.append(span)
    return [*kept, last] if _clear(kept[-1], last, air) else kept


def _clear(left: Span, right: Span, air: float) -> bool:
    return left.middle + left.width / 2 + air <= right.middle - right.width / 2
