"""Tyre wear: a line through measured depths, the sessions left, and the cost of a session.

Sources: Draper and Smith, Applied Regression Analysis (least squares; inverse prediction by
Fieller's theorem); NIST StRD Norris as the certified check of the line.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from .argument_checks import checked
from .distributions import t_quantile
from .refusal import Refused, number, positive
from .words import _

FEWEST_POINTS = 4
DEPTH_RISE_MM = 0.3
GAUGE_RESOLUTION_MM = 0.1
LEAST_WEAR_IN_RESOLUTIONS = 4
CONFIDENCE = 0.95


@checked
@dataclass(frozen=True)
class Depth:
    """One groove depth in mm at a session index (or lap count), at a fixed place of one tyre."""

    at: float
    mm: float
    place: str = ""
    tyre: str = ""
    track: str = ""


@checked
@dataclass(frozen=True)
class Interval:
    """A value with its 95 % interval."""

    value: float
    low: float
    high: float


@checked
@dataclass(frozen=True)
class FittedLine:
    """y = intercept + slope x, with the sums that its intervals need."""

    slope: float
    intercept: float
    n: int
    mean_x: float
    sxx: float
    residual_sum: float

    @property
    def degrees(self) -> int:
        return self.n - 2

    @property
    def variance(self) -> float:
        """s^2 = RSS / (n - 2)."""
        return self.residual_sum / self.degrees

    def at(self, x: float) -> float:
        return self.intercept + self.slope * x

    def half_width(self, x: float) -> float:
        """Half the 95 % interval of the line itself at ``x``."""
        spread = 1 / self.n + (x - self.mean_x) ** 2 / self.sxx
        return _t(self.degrees) * math.sqrt(self.variance * spread)

    def slope_interval(self) -> Interval:
        half = _t(self.degrees) * math.sqrt(self.variance / self.sxx)
        return Interval(self.slope, self.slope - half, self.slope + half)


@checked
def least_squares(*, xs: Sequence[float], ys: Sequence[float]) -> FittedLine:
    """The ordinary least squares line; three or more points that are not all at one x.

    Source: Draper and Smith; certified check NIST StRD Norris.

    >>> line = least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
    >>> round(line.slope, 4), round(line.intercept, 4)
    (-0.28, 4.0)
    """
    pairs = [(number(x, "x"), number(y, "y")) for x, y in zip(xs, ys, strict=True)]
    n = len(pairs)
    if n < 3:
        raise Refused(_("A line with an interval needs at least three points; {n} given.", n=n))
    mean_x = math.fsum(x for x, _y in pairs) / n
    mean_y = math.fsum(y for _x, y in pairs) / n
    sxx = math.fsum((x - mean_x) ** 2 for x, _y in pairs)
    if sxx == 0:
        raise Refused(_("All points are at the same session: no line goes through them."))
    slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in pairs) / sxx
    residual_sum = math.fsum(((y - mean_y) - slope * (x - mean_x)) ** 2 for x, y in pairs)
    return FittedLine(slope, mean_y - slope * mean_x, n, mean_x, sxx, residual_sum)


@checked
def wear_line(
    *, depths: Sequence[Depth], gauge_resolution_mm: float = GAUGE_RESOLUTION_MM
) -> FittedLine:
    """The wear line of one place on one tyre.

    Refused: fewer than 4 depths; tyre, place or track changed; a depth up by more than 0.3 mm;
    wear under 4 gauge resolutions; a slope whose 95 % interval contains 0.

    >>> line = wear_line(depths=[Depth(i, mm) for i, mm in enumerate((4.0, 3.7, 3.5, 3.1))])
    >>> round(line.slope, 3)
    -0.29
    """
    ordered = sorted(depths, key=lambda depth: depth.at)
    _check_same(ordered)
    if len(ordered) < FEWEST_POINTS:
        raise Refused(
            _(
                "Too few depths to say anything of wear: {n} so far, {least} or more at one place "
                "are needed.",
                n=len(ordered),
                least=FEWEST_POINTS,
            )
        )
    _check_falling(ordered, gauge_resolution_mm)
    line = least_squares(xs=[d.at for d in ordered], ys=[d.mm for d in ordered])
    if line.slope_interval().high >= 0:
        raise Refused(
            _("These depths scatter too much: no wear is as likely as some. Keep measuring.")
        )
    return line


def _check_same(depths: Sequence[Depth]) -> None:
    for name, found in (
        (_("tyre"), {d.tyre for d in depths}),
        (_("place on the tyre"), {d.place for d in depths}),
        (_("track"), {d.track for d in depths}),
    ):
        if len(found) > 1:
            raise Refused(
                _(
                    "The {name} changed ({found}): only depths of one can be set on a line.",
                    name=name,
                    found=", ".join(sorted(found)),
                )
            )


def _check_falling(depths: Sequence[Depth], resolution: float) -> None:
    positive(resolution, _("gauge resolution"), "mm")
    for earlier, later in itertools.pairwise(depths):
        positive(later.mm, _("depth"), "mm")
        if later.mm - earlier.mm > DEPTH_RISE_MM:
            raise Refused(
                _(
                    "The depth rose from {earlier:g} to {later:g} mm: measure again, at the "
                    "same place.",
                    earlier=earlier.mm,
                    later=later.mm,
                )
            )
    least = LEAST_WEAR_IN_RESOLUTIONS * resolution
    worn = depths[0].mm - depths[-1].mm
    if worn < least - 1e-9:
        raise Refused(
            _(
                "{worn:.2g} mm worn is too little for a gauge that reads to {resolution:g} mm: "
                "at least {least:.2g} mm.",
                worn=worn,
                resolution=resolution,
                least=least,
            )
        )


@checked
def index_at(*, line: FittedLine, limit_mm: float) -> Interval:
    """The session index at which the line meets the limit, with Fieller's 95 % interval.

    g = t^2 s^2 / (b^2 Sxx); with g >= 1 the slope is not certain enough and it is refused
    ("cannot say"). Source: Draper and Smith, inverse prediction of a true mean value.

    >>> line = least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
    >>> at = index_at(line=line, limit_mm=1.0)
    >>> round(at.value, 3), round(at.low, 4), round(at.high, 4)
    (10.714, 9.9084, 11.7069)
    """
    limit = number(limit_mm, _("limit"))
    if line.slope == 0:
        raise Refused(_("Cannot say: the line does not fall."))
    t = _t(line.degrees)
    g = t**2 * line.variance / (line.slope**2 * line.sxx)
    if g >= 1:
        raise Refused(_("Cannot say: the wear so far is not certain enough to carry forward."))
    value = (limit - line.intercept) / line.slope
    away = value - line.mean_x
    centre = line.mean_x + away / (1 - g)
    root_term = (1 - g) / line.n + away**2 / line.sxx
    half = t * math.sqrt(line.variance * root_term) / (abs(line.slope) * (1 - g))
    return Interval(value, centre - half, centre + half)


@checked
def sessions_left(*, line: FittedLine, limit_mm: float, last_index: float) -> Interval:
    """Sessions (or laps) from the last measured one to the limit; at least 0.

    >>> line = least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
    >>> left = sessions_left(line=line, limit_mm=1.0, last_index=5)
    >>> round(left.value, 2), round(left.low, 2), round(left.high, 2)
    (5.71, 4.91, 6.71)
    """
    at = index_at(line=line, limit_mm=limit_mm)
    return Interval(*(max(0.0, end - last_index) for end in (at.value, at.low, at.high)))


@checked
@dataclass(frozen=True)
class SlopeComparison:
    """Slope of the second line minus that of the first, with its interval, t and degrees.

    ``t`` is None where both lines go through every point, so that there is no scatter.
    """

    difference: Interval
    t: float | None
    degrees: int
    says: str


@checked
def compare(*, before: FittedLine, after: FittedLine) -> SlopeComparison:
    """Slope after minus slope before, pooled variance; above 0 means the tyre lasts longer.

    Refused with under 4 points in either line. At 0.25 mm a session, a gain of 20 % needs about
    ten sessions in each. Source: Draper and Smith, comparison of two regression lines.

    >>> one = least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
    >>> two = least_squares(xs=range(6), ys=(4.0, 3.85, 3.6, 3.5, 3.3, 3.05))
    >>> found = compare(before=one, after=two)
    >>> round(found.difference.value, 6), round(found.t, 4)
    (0.094286, 6.5672)
    """
    if min(before.n, after.n) < FEWEST_POINTS:
        raise Refused(_("Each of the two needs at least {least} depths.", least=FEWEST_POINTS))
    degrees = before.n + after.n - 4
    pooled = (before.residual_sum + after.residual_sum) / degrees
    difference = after.slope - before.slope
    error = math.sqrt(pooled * (1 / before.sxx + 1 / after.sxx))
    half = _t(degrees) * error
    interval = Interval(difference, difference - half, difference + half)
    if interval.low <= 0 <= interval.high:
        says = _("No difference shown. A gain of a fifth needs about ten sessions each way.")
    elif difference > 0:
        says = _("It wears more slowly now.")
    else:
        says = _("It wears faster now.")
    t = difference / error if error else None
    return SlopeComparison(interval, t, degrees, says)


@checked
def cost_per_session(
    *, price_minor: int, line: FittedLine, new_depth_mm: float, limit_mm: float
) -> Interval:
    """price |b| / (new depth - limit), in minor units of money a session.

    The interval is that of the slope. Source: arithmetic.

    >>> line = least_squares(xs=range(6), ys=(4.0, 3.7, 3.5, 3.1, 2.9, 2.6))
    >>> round(cost_per_session(price_minor=18000, line=line, new_depth_mm=4.0,
    ...                        limit_mm=1.0).value)
    1680
    """
    usable = number(new_depth_mm, _("depth when new")) - number(limit_mm, _("limit"))
    if usable <= 0:
        raise Refused(
            _(
                "The depth when new ({new:g} mm) must be above the limit ({limit:g} mm).",
                new=new_depth_mm,
                limit=limit_mm,
            )
        )
    slope = line.slope_interval()
    if slope.high >= 0:
        raise Refused(_("Cannot say: the line does not fall for certain."))
    share = positive(price_minor, _("price")) / usable
    return Interval(share * -slope.value, share * -slope.high, share * -slope.low)


def _t(degrees: int) -> float:
    return t_quantile(probability=0.5 + CONFIDENCE / 2, degrees=degrees)
