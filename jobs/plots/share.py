"""A proportion with its interval, as a bar from 0 to 1."""

from .scales import Linear
from .svg import element, number, path, picture

WIDTH, HEIGHT, MARGIN = 220.0, 22.0, 8.0
MIDDLE = HEIGHT / 2


def share(*, part: float, low: float, high: float, alt: str) -> str:
    """``part`` (0 to 1) as a dot, its interval ``low`` to ``high`` as a bar, a tick at 0.5."""
    scale = Linear(0.0, 1.0, MARGIN, WIDTH - MARGIN)
    ends = number(scale(0.0)), number(scale(1.0))
    return picture(
        path(f"M{ends[0]} {number(MIDDLE)}H{ends[1]}", class_="share-all"),
        path(f"M{number(scale(0.5))} {number(MIDDLE - 5)}v10", class_="share-all"),
        element(
            "rect", class_="share-range", x=scale(low), y=MIDDLE - 4,
            width=scale(high) - scale(low), height=8, rx=4,
        ),
        element("circle", class_="share-part", cx=scale(part), cy=MIDDLE, r=5.5),
        width=WIDTH, height=HEIGHT, alt=alt, class_="share",
    )  # fmt: skip
