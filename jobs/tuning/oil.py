"""Damper oil against temperature: how much firmer the damping is with cold oil.

Sources: ASTM D341 (viscosity against temperature), ASTM D2270 (viscosity index), ISO 3448
(grades), API MPMS 11.1 lubricants (density; coefficient from memory).
"""

import math
import re
from dataclasses import dataclass

from .argument_checks import checked
from .refusal import Refused, number, within
from .solve import root
from .units import KELVIN_AT_ZERO_CELSIUS
from .viscosity_index import index_of, viscosity_at_100
from .words import _

COLDEST_C, HOTTEST_C = -40.0, 150.0
GRADE_SPREAD = 0.10  # ISO 3448: midpoint +-10 %
INDEX_ABOVE = 20.0  # the data sheet gives a minimum: common practice, no source
GRADES = (2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150)
ISO_MIDPOINTS = {2: 2.2, 3: 3.2, 5: 4.6, 7: 6.8}
_DENSITY_K0 = 0.6278  # API MPMS 11.1, lubricants, kg/m3 and degC; from memory
_LOW_VISCOSITY = 2.0


@checked
@dataclass(frozen=True)
class ViscosityLine:
    """log10 log10 Z = A - B log10 T: one oil's kinematic viscosity at any temperature.

    >>> line = line_through(low_c=40, low_cst=32, high_c=100, high_cst=5.4)
    >>> round(line.a, 5), round(line.b, 5), round(line.at(80), 2)
    (9.53082, 3.74658, 8.53)
    """

    a: float
    b: float

    def at(self, celsius: float) -> float:
        """Kinematic viscosity in cSt (mm2/s), above -40 and up to 150 degC."""
        return _nu(10 ** (10 ** (self.a - self.b * math.log10(_kelvin(celsius)))))


@checked
def line_through(*, low_c: float, low_cst: float, high_c: float, high_cst: float) -> ViscosityLine:
    """The ASTM D341 line through two measured viscosities.

    Temperatures above -40 and up to 150 degC; an oil gets thinner as it gets warmer.

    >>> round(line_through(low_c=40, low_cst=15, high_c=100, high_cst=3.75).at(40), 3)
    15.0
    """
    if number(low_c, _("temperature")) >= number(high_c, _("temperature")):
        raise Refused(_("Give the lower temperature first; two different ones are needed."))
    thick = within(low_cst, 0.2, 2000, what=_("viscosity"), unit="cSt")
    thin = within(high_cst, 0.2, 2000, what=_("viscosity"), unit="cSt")
    if thick <= thin:
        raise Refused(
            _(
                "An oil is thicker cold: {thick:g} cSt at {low:g} °C against {thin:g} cSt at "
                "{high:g} °C. Are the two swapped?",
                thick=thick,
                low=low_c,
                thin=thin,
                high=high_c,
            )
        )
    cold, hot = math.log10(_kelvin(low_c)), math.log10(_kelvin(high_c))
    upper, lower = (math.log10(math.log10(_z(nu))) for nu in (thick, thin))
    b = (upper - lower) / (hot - cold)
    return ViscosityLine(a=upper + b * cold, b=b)


@checked
def viscosity_index(*, at_40_cst: float, at_100_cst: float) -> float:
    """Viscosity index by ASTM D2270, procedure A up to 100 and B above, not rounded.

    Viscosity at 100 degC 2 cSt or more. ``round()`` gives the reported figure.

    >>> round(viscosity_index(at_40_cst=73.30, at_100_cst=8.86), 2)
    92.43
    """
    thin = number(at_100_cst, _("viscosity at 100 °C"))
    thick = number(at_40_cst, _("viscosity at 40 °C"))
    if thin < _LOW_VISCOSITY:
        raise Refused(
            _("The index is defined from 2 cSt at 100 °C up; {thin:g} was given.", thin=thin)
        )
    if thick <= thin:
        raise Refused(_("An oil is thicker at 40 than at 100 °C: are the two swapped?"))
    return index_of(thick, thin)


@checked
def grade_line(*, grade: str | float, index: float) -> ViscosityLine:
    """The line of an ISO 3448 grade (midpoint at 40 degC) with a viscosity index.

    Refused: an unknown grade, and labels such as "5W", which are no viscosity.

    >>> round(grade_line(grade="VG15", index=150).at(45), 2)
    12.86
    """
    return _line_of(iso_midpoint(grade), index)


@checked
def iso_midpoint(grade: str | float) -> float:
    """cSt at 40 degC of an ISO 3448 grade.

    >>> iso_midpoint("VG 22")
    22.0
    """
    text = str(grade).strip().upper()
    if re.fullmatch(r"(SAE\s*)?[\d.]+\s*W(T|[\d.]+)?", text):
        raise Refused(
            _(
                '"{given}" is the label of a bottle, not a viscosity: makers differ widely. Take '
                "cSt at 40 °C from the data sheet, or the ISO VG grade.",
                given=str(grade),
            )
        )
    match = re.fullmatch(r"(?:ISO\s*)?(?:VG\s*)?(\d+)(?:\.0)?", text)
    if not match or int(match[1]) not in GRADES:
        raise Refused(
            _(
                '"{given}" is not an ISO VG grade used in dampers. Accepted: {grades}.',
                given=str(grade),
                grades=", ".join(str(g) for g in GRADES),
            )
        )
    number_ = int(match[1])
    return float(ISO_MIDPOINTS.get(number_, number_))


@checked
def density(*, at_15_kg_m3: float, celsius: float) -> float:
    """rho = rho15 exp(-a D (1 + 0.8 a D)), a = 0.6278 / rho15, D = T - 15, in kg/m3.

    Source: API MPMS 11.1 for lubricating oils; the coefficient is from memory.

    >>> round(density(at_15_kg_m3=870, celsius=45), 1)
    851.0
    """
    reference = within(at_15_kg_m3, 700, 1100, what=_("density at 15 °C"), unit="kg/m3")
    _kelvin(celsius)
    step = _DENSITY_K0 / reference * (celsius - 15)
    return reference * math.exp(-step * (1 + 0.8 * step))


@checked
@dataclass(frozen=True)
class ViscosityRatio:
    """Cold viscosity divided by hot viscosity. ``low`` and ``high`` are for the dynamic ratio."""

    kinematic: float
    dynamic: float
    low: float
    high: float
    cold_c: float
    hot_c: float
    assumptions: tuple[str, ...] = ()


@checked
def cold_to_hot(
    *,
    grade: str | float = "VG15",
    index: float = 150.0,
    cold_c: float = 8.0,
    hot_c: float = 45.0,
    at_15_kg_m3: float = 870.0,
) -> ViscosityRatio:
    """Viscosity cold over hot, with the spread of grade (+-10 %) and index (up to 20 more).

    Valid above -40 and up to 150 degC, cold below hot. Sources: ASTM D341, D2270, ISO 3448.

    >>> ratio = cold_to_hot()
    >>> round(ratio.dynamic, 2), round(ratio.low, 1), round(ratio.high, 1)
    (4.3, 3.9, 4.5)
    """
    if number(cold_c, _("cold temperature")) >= number(hot_c, _("hot temperature")):
        raise Refused(
            _(
                "Cold must be colder than hot: {cold:g} against {hot:g} °C was given.",
                cold=cold_c,
                hot=hot_c,
            )
        )
    lighter = density(at_15_kg_m3=at_15_kg_m3, celsius=cold_c) / density(
        at_15_kg_m3=at_15_kg_m3, celsius=hot_c
    )

    def ratio(midpoint: float, with_index: float) -> float:
        line = _line_of(midpoint, with_index)
        return line.at(cold_c) / line.at(hot_c)

    middle = iso_midpoint(grade)
    ends = (
        ratio(middle * (1 - GRADE_SPREAD), index + INDEX_ABOVE),
        ratio(middle * (1 + GRADE_SPREAD), index),
    )
    kinematic = ratio(middle, index)
    return ViscosityRatio(
        kinematic=kinematic,
        dynamic=kinematic * lighter,
        low=min(ends) * lighter,
        high=max(ends) * lighter,
        cold_c=cold_c,
        hot_c=hot_c,
        assumptions=(
            _("Oil taken as {grade}, viscosity index {index:g}.", grade=str(grade), index=index),
            _("Grade within 10 % of that, index up to 20 above it."),
        ),
    )


@checked
@dataclass(frozen=True)
class DampingShift:
    """Cold damping over hot damping, between ``low`` and ``high``; ``share`` if it is known."""

    low: float
    high: float
    share: float | None
    says: str


@checked
def damping_shift(*, viscosity_ratio: float, share: float | None = None) -> DampingShift:
    """Cold over hot damping, 1 - phi + phi * ratio, for the unknown share phi in 0..1.

    phi, the share of a damper's force that follows viscosity, differs from damper to damper.
    Without a measurement (:func:`measured_share`) only the direction and an interval are
    known. It is never converted into clicks of an adjuster.

    >>> shift = damping_shift(viscosity_ratio=4.3)
    >>> shift.low, shift.high, str(shift.says)
    (1.0, 4.3, 'Firmer cold; not enough to give a click count. Measure again hot.')
    """
    ratio = within(viscosity_ratio, 1, 1000, what=_("viscosity ratio"))
    says = _("Firmer cold; not enough to give a click count. Measure again hot.")
    if share is None:
        return DampingShift(1.0, ratio, None, says)
    phi = within(share, 0, 1, what=_("share that follows viscosity"))
    value = 1 - phi + phi * ratio
    return DampingShift(value, value, phi, _("Firmer cold on this damper. Measure again hot."))


@checked
def measured_share(*, cold_over_hot: float, viscosity_ratio: float) -> float:
    """phi from a force or a return time measured on one damper at two temperatures.

    >>> round(measured_share(cold_over_hot=2.0, viscosity_ratio=4.3), 3)
    0.303
    """
    ratio = within(viscosity_ratio, 1.05, 1000, what=_("viscosity ratio"))
    measured = within(
        cold_over_hot,
        1,
        ratio,
        what=_("cold over hot"),
        hint=_("Oil alone cannot change it by more than its viscosity does."),
    )
    return (measured - 1) / (ratio - 1)


def _line_of(at_40_cst: float, index: float) -> ViscosityLine:
    within(index, 50, 400, what=_("viscosity index"))
    return line_through(
        low_c=40, low_cst=at_40_cst, high_c=100, high_cst=viscosity_at_100(at_40_cst, index)
    )


def _kelvin(celsius: float) -> float:
    given = number(celsius, _("oil temperature"))
    if not COLDEST_C < given <= HOTTEST_C:
        raise Refused(
            _(
                "Oil temperature: {given:g} °C was given; the formula holds above -40 and up "
                "to 150 °C.",
                given=given,
            )
        )
    return given + KELVIN_AT_ZERO_CELSIUS


def _z(nu: float) -> float:
    """ASTM D341: Z = nu + 0.7, with a correction below 2 cSt."""
    if nu >= _LOW_VISCOSITY:
        return nu + 0.7
    return nu + 0.7 + math.exp(-1.47 - 1.84 * nu - 0.51 * nu**2)


def _nu(z: float) -> float:
    """The viscosity whose Z it is: the exact inverse of :func:`_z`."""
    if z - 0.7 >= _LOW_VISCOSITY:
        return z - 0.7
    return root(lambda nu: _z(nu) - z, 0.0, _LOW_VISCOSITY + 0.01)
