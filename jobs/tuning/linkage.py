"""Rear linkages: how far the shock moves for a movement of the wheel.

s(z) is the shock's stroke in mm at wheel travel z in mm, both from full extension.
s'(z) is the motion ratio there; s''(z) is how fast it changes (progressive if above 0).
A curve is known up to the last point measured; beyond it a fitted cubic means nothing, and
may turn back.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from .argument_checks import checked
from .refusal import Refused, number, within
from .words import _

LOWEST_RATIO, HIGHEST_RATIO = 0.2, 1.1
MOST_TRAVEL_MM = 400.0
_FIT_DEGREE = 3
_WORST_MISFIT_MM = 0.5
_FEWEST_POINTS = 2


@checked
@dataclass(frozen=True)
class Linkage:
    """s(z) = c1 z + c2 z^2 + c3 z^3; ``coefficients`` holds (c1, c2, c3).

    ``known_to_mm``: the wheel travel up to which this holds, the last point measured.

    >>> Linkage((0.45, 0.0005)).stroke(40.0)
    18.8
    """

    coefficients: tuple[float, ...]
    known_to_mm: float = MOST_TRAVEL_MM

    def known_at(self, z: float, *, what: str) -> float:
        """``z`` in mm, if the curve is known there. Refused beyond it, with its last point.

        >>> Linkage((0.45,), known_to_mm=120).known_at(40, what="rider sag")
        40.0
        """
        travel = number(z, what)
        if 0 <= travel <= self.known_to_mm:
            return travel
        raise Refused(
            _(
                "{what}: {travel:g} mm of wheel travel was given; this linkage is known from 0 "
                "to {last:g} mm. Measure the curve further, or check the number.",
                what=what,
                travel=travel,
                last=self.known_to_mm,
            )
        )

    def stroke(self, z: float) -> float:
        """Shock stroke in mm at wheel travel ``z`` in mm."""
        return sum(c * z ** (i + 1) for i, c in enumerate(self.coefficients))

    def ratio(self, z: float) -> float:
        """Motion ratio s'(z), mm of shock per mm of wheel."""
        return sum((i + 1) * c * z**i for i, c in enumerate(self.coefficients))

    def ratio_change(self, z: float) -> float:
        """s''(z), per mm: above zero for a progressive linkage."""
        return sum((i + 1) * i * c * z ** (i - 1) for i, c in enumerate(self.coefficients) if i > 0)

    @property
    def progressive(self) -> bool:
        return any(self.coefficients[1:])


@checked
def constant(*, motion_ratio: float) -> Linkage:
    """A linkage whose motion ratio d(shock)/d(wheel) does not change, 0.2 to 1.1.

    >>> constant(motion_ratio=0.5).ratio(30)
    0.5
    """
    return Linkage((checked_ratio(motion_ratio),))


@checked
def quadratic(*, at_full_extension: float, per_mm: float) -> Linkage:
    """s = a z + b z^2: ratio ``a`` at full extension, rising by 2 b for every mm of wheel.

    Known as far as its ratio stays within 0.2 to 1.1.

    >>> quadratic(at_full_extension=0.45, per_mm=0.0005).ratio(38.402)
    0.488402
    """
    first, bend = checked_ratio(at_full_extension), number(per_mm, _("linkage curve"))
    if bend == 0:
        return Linkage((first, bend))
    end = HIGHEST_RATIO if bend > 0 else LOWEST_RATIO
    return Linkage((first, bend), min(MOST_TRAVEL_MM, (end - first) / (2 * bend)))


@checked
def from_points(*, points: Sequence[Sequence[float]]) -> Linkage:
    """Least squares through the measured (wheel mm, shock mm) pairs and the origin.

    A cubic where there are enough points, else as high as they allow. Refused: fewer than
    two points past zero, a stroke that does not grow, a motion ratio outside 0.2 to 1.1, or
    a point more than 0.5 mm off the curve, which is often a wrong entry.

    >>> points = [(0, 0), (20, 9.2), (40, 18.8), (60, 28.8), (80, 39.2)]
    >>> [round(c, 6) for c in from_points(points=points).coefficients[:2]]
    [0.45, 0.0005]
    """
    pairs = _past_full_extension(points)
    if len(pairs) < _FEWEST_POINTS:
        raise Refused(_("A linkage curve needs at least two points past zero."))
    strokes = [0.0] + [s for _z, s in pairs]
    if any(later <= earlier for earlier, later in itertools.pairwise(strokes)):
        raise Refused(_("The shock's stroke must grow with the wheel's travel at every point."))
    degree = min(_FIT_DEGREE, len(pairs))
    linkage = Linkage(tuple(_fit(pairs, degree)), known_to_mm=pairs[-1][0])
    for z, s in pairs:
        if abs(linkage.stroke(z) - s) > _WORST_MISFIT_MM:
            raise Refused(
                _(
                    "The point {z:g} mm of wheel, {s:g} mm of shock lies off the curve of the "
                    "others. Measure it again.",
                    z=z,
                    s=s,
                )
            )
    for z in (0.0, *(z for z, _s in pairs), *_turning_points(linkage)):
        checked_ratio(linkage.ratio(z))
    return linkage


@checked
def checked_ratio(motion_ratio: float) -> float:
    """The motion ratio, checked. The usual mistake is to give its inverse.

    >>> checked_ratio(0.5)
    0.5
    """
    given = number(motion_ratio, _("motion ratio"))
    hint = (
        _(
            "Is it the inverse ratio (wheel over shock)? Then it is {inverse:.3f}.",
            inverse=1 / given,
        )
        if given > HIGHEST_RATIO
        else ""
    )
    return within(
        given, LOWEST_RATIO, HIGHEST_RATIO, what=_("motion ratio (shock over wheel)"), hint=hint
    )


def _past_full_extension(points: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
    """The points in the order of wheel travel, without the one at full extension."""
    if any(len(point) != 2 for point in points):
        raise Refused(_("A point of a linkage curve is two numbers: wheel mm and shock mm."))
    pairs = sorted((float(z), float(s)) for z, s in points)
    if pairs and (pairs[0][0] < 0 or (pairs[0][0] == 0 and pairs[0][1] != 0)):
        raise Refused(
            _(
                "A linkage curve begins at full extension, with 0 mm of wheel and 0 mm of shock; "
                "{z:g} and {s:g} mm were given.",
                z=pairs[0][0],
                s=pairs[0][1],
            )
        )
    return [pair for pair in pairs if pair[0] > 0]


def _turning_points(linkage: Linkage) -> tuple[float, ...]:
    """Where the motion ratio of a fitted curve is highest or lowest between its points."""
    if len(linkage.coefficients) < _FIT_DEGREE or linkage.coefficients[2] == 0:
        return ()
    z = -linkage.coefficients[1] / (3 * linkage.coefficients[2])
    return (z,) if 0 < z < linkage.known_to_mm else ()


def _fit(pairs: list[tuple[float, float]], degree: int) -> list[float]:
    """Normal equations of a polynomial through the origin, scaled so that z <= 1."""
    scale = max(z for z, _s in pairs)
    rows = [[(z / scale) ** (i + 1) for i in range(degree)] for z, _s in pairs]
    matrix = [
        [sum(r[i] * r[j] for r in rows) for j in range(degree)]
        + [sum(r[i] * s for r, (_z, s) in zip(rows, pairs, strict=True))]
        for i in range(degree)
    ]
    return [c / scale ** (i + 1) for i, c in enumerate(_solve(matrix))]


def _solve(matrix: list[list[float]]) -> list[float]:
    """Gauss-Jordan with pivoting, for the few unknowns of a curve."""
    size = len(matrix)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(matrix[r][i]))
        matrix[i], matrix[pivot] = matrix[pivot], matrix[i]
        matrix[i] = [value / matrix[i][i] for value in matrix[i]]
        for r in range(size):
            if r != i:
                factor = matrix[r][i]
                matrix[r] = [a - factor * b for a, b in zip(matrix[r], matrix[i], strict=True)]
    return [row[-1] for row in matrix]
