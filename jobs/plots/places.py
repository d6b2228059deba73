"""Small drawings of the place where something was seen: on a tyre, in a corner ..."""

from . import svg

TYRE = ("left", "centre", "right")
CORNER = ("braking", "entry", "mid", "exit", "straight")
WIDTH, HEIGHT = 96.0, 64.0
# A corner of our own drawing; each part is one piece of the line.
PIECES = {
    "straight": "M4 52H24",
    "braking": "M24 52H44",
    "entry": "M44 52C58 52 66 48 70 40",
    "mid": "M70 40C74 32 70 22 60 20",
    "exit": "M60 20H12",
}


def tyre_place(place: str, *, alt: str) -> str:
    """A tyre seen from the front, with one part of its tread filled (empty: all of it).

    Raises ValueError for a place a tyre does not have.
    """
    if place and place not in TYRE:
        raise ValueError(f"no such place on a tyre: {place}")
    shapes = {"left": (24.0, 14.0), "centre": (38.0, 20.0), "right": (58.0, 14.0)}
    bands = [
        svg.element(
            "rect", x=x, y=8.0, width=width, height=48.0,
            class_="here" if place in ("", name) else "there",
        )
        for name, (x, width) in shapes.items()
    ]  # fmt: skip
    outline = svg.path("M24 8C18 20 18 44 24 56M72 8C78 20 78 44 72 56", class_="edge")
    return svg.picture(*bands, outline, width=WIDTH, height=HEIGHT, alt=alt, class_="place")


def corner_place(part: str, *, alt: str) -> str:
    """The line through a corner, with one part of it drawn strong (empty: all of it)."""
    if part and part not in CORNER:
        raise ValueError(f"no such part of a corner: {part}")
    pieces = [
        svg.path(line, class_="way here" if part in ("", name) else "way there")
        for name, line in PIECES.items()
    ]
    return svg.picture(*pieces, width=WIDTH, height=HEIGHT, alt=alt, class_="place")


def wheel_place(end: str, *, alt: str) -> str:
    """A bike seen from its right side, with one wheel filled (empty: both)."""
    if end not in ("", "front", "rear"):
        raise ValueError(f"no such wheel: {end}")
    wheels = [
        svg.element(
            "circle", cx=x, cy=46.0, r=13.0, class_="here" if end in ("", name) else "there"
        )
        for name, x in (("rear", 20.0), ("front", 76.0))
    ]
    frame = svg.path("M20 46L40 34L62 18L76 46M24 20L44 22L62 18M58 10L66 14", class_="edge")
    return svg.picture(frame, *wheels, width=WIDTH, height=HEIGHT, alt=alt, class_="place")


def push_place(*, alt: str) -> str:
    """A push test: the height of the bike over time."""
    curve = svg.path(
        "M8 20H22C30 20 30 54 38 54C50 54 52 14 62 18C68 20 76 20 88 20", class_="way here"
    )
    rest = svg.path("M8 20H88", class_="way there")
    return svg.picture(rest, curve, width=WIDTH, height=HEIGHT, alt=alt, class_="place")


def ring_place(*, alt: str) -> str:
    """A travel ring on a tube."""
    tube = svg.element("rect", x=36.0, y=4.0, width=24.0, height=56.0, class_="there")
    ring = svg.element("rect", x=30.0, y=34.0, width=36.0, height=8.0, class_="here")
    return svg.picture(tube, ring, width=WIDTH, height=HEIGHT, alt=alt, class_="place")
