"""Spring rates: of a pair, at the wheel, required by the rider, and of a coil.

Fork sag x is along the leg, rear sag z is vertical at the wheel; forces are at the wheel.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .argument_checks import checked
from .linkage import Linkage
from .refusal import AskAgain, Refused, number, one_of, positive, within
from .sag import rake_radians
from .solve import polynomial_roots
from .terms import End
from .units import STANDARD_GRAVITY
from .words import _

LEAST_SAG_STEP_MM = 5.0
ROUNDING_MM = 1e-6
# Common practice, no source: outside these the number was usually typed in another unit.
USUAL_RATE_N_PER_MM = {End.FRONT: (5.0, 15.0), End.REAR: (50.0, 200.0)}


@checked
def checked_rate(*, rate_n_per_mm: float, end: str, sure: bool = False) -> float:
    """The rate of one fork leg (5-15 N/mm) or shock spring (50-200 N/mm).

    A rate outside these must be confirmed (:class:`AskAgain`, then ``sure``): 0.95 is likely
    a fork spring in kgf/mm, 55 one in lbf/in.

    >>> checked_rate(rate_n_per_mm=9.5, end="front")
    9.5
    """
    rate = positive(rate_n_per_mm, _("spring rate"), "N/mm")
    low, high = USUAL_RATE_N_PER_MM[one_of(end, End, what=_("end"))]
    if sure or low <= rate <= high:
        return rate
    what = _("a fork leg") if end == End.FRONT else _("a shock")
    for unit, factor in (("kgf/mm", STANDARD_GRAVITY), ("lbf/in", 0.175126835)):
        if low <= rate * factor <= high:
            raise AskAgain(
                _(
                    "{rate:g} N/mm is unusual for {what} ({low:g} to {high:g}). Was it "
                    "{rate:g} {unit}? That is {meant:.2f} N/mm.",
                    rate=rate,
                    what=what,
                    low=low,
                    high=high,
                    unit=unit,
                    meant=rate * factor,
                )
            )
    raise AskAgain(
        _(
            "{rate:g} N/mm is unusual for {what} ({low:g} to {high:g}). Read the marking again.",
            rate=rate,
            what=what,
            low=low,
            high=high,
        )
    )


@checked
@dataclass(frozen=True)
class ForkPair:
    """Two legs as one spring: k = kL + kR, and the preload that one spring would have.

    >>> pair = ForkPair(left_n_per_mm=9.0, right_n_per_mm=9.5, left_preload_mm=10,
    ...                 right_preload_mm=12)
    >>> pair.rate_n_per_mm, round(pair.preload_mm, 3)
    (18.5, 11.027)
    """

    left_n_per_mm: float
    right_n_per_mm: float
    left_preload_mm: float = 0.0
    right_preload_mm: float = 0.0

    @property
    def rate_n_per_mm(self) -> float:
        return self.left_n_per_mm + self.right_n_per_mm

    @property
    def preload_mm(self) -> float:
        """(kL pL + kR pR) / (kL + kR): legs may be unequal."""
        left = self.left_n_per_mm * self.left_preload_mm
        return (left + self.right_n_per_mm * self.right_preload_mm) / self.rate_n_per_mm

    @property
    def share_left(self) -> float:
        """The part of a preload change in the left leg alone that acts on the bike."""
        return self.left_n_per_mm / self.rate_n_per_mm


@checked
def fork_wheel_rate(*, pair_n_per_mm: float, rake_deg: float) -> float:
    """Vertical rate at the wheel, N/mm: k / cos^2(rake), not times.

    Force along the leg is F cos, movement along it z cos. Source: statics; checked by the
    strain energy in sympy.

    >>> round(fork_wheel_rate(pair_n_per_mm=19, rake_deg=24), 3)
    22.766
    """
    rate = positive(pair_n_per_mm, _("rate of the pair"), "N/mm")
    return rate / math.cos(rake_radians(rake_deg)) ** 2


@checked
def fork_leg_sag(
    *, wheel_force_n: float, pair_n_per_mm: float, preload_mm: float, rake_deg: float
) -> float:
    """Sag along the leg, mm: x = F cos(rake) / k - p, never below 0 (topped out).

    >>> round(fork_leg_sag(wheel_force_n=961.05, pair_n_per_mm=18.8135, preload_mm=28.667,
    ...                    rake_deg=24), 2)
    18.0
    """
    rate = positive(pair_n_per_mm, _("rate of the pair"), "N/mm")
    force = number(wheel_force_n, _("wheel force")) * math.cos(rake_radians(rake_deg))
    return max(0.0, force / rate - number(preload_mm, _("preload")))


@checked
def rear_wheel_rate(
    *,
    shock_n_per_mm: float,
    linkage: Linkage,
    wheel_travel_mm: float = 0.0,
    preload_mm: float = 0.0,
) -> float:
    """Vertical rate at the rear wheel, N/mm: k s'^2 + k (s + p) s''.

    The second part is zero for a constant motion ratio and is what a progressive linkage
    adds. Source: derivative of F = k (s + p) s'.

    >>> from jobs.tuning.linkage import quadratic
    >>> linkage = quadratic(at_full_extension=0.45, per_mm=0.0005)
    >>> round(rear_wheel_rate(shock_n_per_mm=95, linkage=linkage, wheel_travel_mm=38.402,
    ...                       preload_mm=10), 4)
    25.3227
    """
    rate = positive(shock_n_per_mm, _("spring rate"), "N/mm")
    z = linkage.known_at(wheel_travel_mm, what=_("wheel travel"))
    squeezed = linkage.stroke(z) + number(preload_mm, _("preload"))
    return rate * (linkage.ratio(z) ** 2 + squeezed * linkage.ratio_change(z))


@checked
def rear_equilibrium(
    *, wheel_force_n: float, shock_n_per_mm: float, linkage: Linkage, preload_mm: float
) -> float:
    """Wheel sag z in mm where k (s(z) + p) s'(z) carries the wheel force; 0 if topped out.

    The bike comes down from full extension, so it rests at the first such place. Refused if
    there is none as far as the linkage is known.

    >>> from jobs.tuning.linkage import constant
    >>> round(rear_equilibrium(wheel_force_n=1300, shock_n_per_mm=95,
    ...                        linkage=constant(motion_ratio=0.5), preload_mm=10), 4)
    34.7368
    """
    force = positive(wheel_force_n, _("wheel force"), "N")
    rate = positive(shock_n_per_mm, _("spring rate"), "N/mm")
    preload = within(preload_mm, 0, 60, what=_("preload"), unit="mm")

    surplus = _product(
        (rate * preload, *(rate * c for c in linkage.coefficients)),
        tuple((i + 1) * c for i, c in enumerate(linkage.coefficients)),
    )
    surplus[0] -= force
    if rate * preload * linkage.ratio(0.0) >= force:
        return 0.0
    found = polynomial_roots(coefficients=surplus, low=0.0, high=linkage.known_to_mm)
    if not found:
        raise Refused(
            _(
                "This force would push the wheel past {last:g} mm, and the linkage is known only "
                "up to there. Is the spring rate right? Else measure the curve further.",
                last=linkage.known_to_mm,
            )
        )
    return found[0]


def _product(one: Sequence[float], other: Sequence[float]) -> list[float]:
    """The coefficients of the product of two polynomials, the constant ones first."""
    found = [0.0] * (len(one) + len(other) - 1)
    for i, a in enumerate(one):
        for j, b in enumerate(other):
            found[i + j] += a * b
    return found


@checked
@dataclass(frozen=True)
class RequiredRate:
    """The spring that gives both sags: rate in N/mm (fork: of the pair) and its preload."""

    rate_n_per_mm: float
    preload_mm: float
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@checked
def required_fork_rate(
    *,
    bike_force_n: float,
    rider_force_n: float,
    free_leg_mm: float,
    rider_leg_mm: float,
    rake_deg: float,
) -> RequiredRate:
    """k = (F_rider - F_bike) cos(rake) / (x_rider - x_free), p = F_rider cos(rake) / k - x_rider.

    ``bike_force_n`` without and ``rider_force_n`` with the rider, both sprung and at the
    front wheel; sags along the leg in mm. Source: statics, two loads on one linear spring.

    >>> need = required_fork_rate(bike_force_n=98 * 9.80665, rider_force_n=140 * 9.80665,
    ...                           free_leg_mm=18, rider_leg_mm=38, rake_deg=24)
    >>> round(need.rate_n_per_mm, 4), round(need.preload_mm, 3)
    (18.8135, 28.667)
    """
    _check_two_loads(bike_force_n, rider_force_n, free_leg_mm, rider_leg_mm)
    along = math.cos(rake_radians(rake_deg))
    rate = (rider_force_n - bike_force_n) * along / (rider_leg_mm - free_leg_mm)
    return _required(rate, rider_force_n * along / rate - rider_leg_mm)


@checked
def required_rear_rate(
    *,
    bike_force_n: float,
    rider_force_n: float,
    free_mm: float,
    rider_mm: float,
    linkage: Linkage,
) -> RequiredRate:
    """k = (F_rider / s'_rider - F_bike / s'_free) / (s_rider - s_free) at the shock.

    Forces and vertical sags at the rear wheel. Source: F = k (s + p) s' at two loads.

    >>> from jobs.tuning.linkage import constant
    >>> need = required_rear_rate(bike_force_n=700, rider_force_n=1300, free_mm=10,
    ...                           rider_mm=35, linkage=constant(motion_ratio=0.5))
    >>> round(need.rate_n_per_mm, 3), round(need.preload_mm, 3)
    (96.0, 9.583)
    """
    _check_two_loads(bike_force_n, rider_force_n, free_mm, rider_mm)
    linkage.known_at(rider_mm, what=_("rider sag"))
    at_rider = rider_force_n / linkage.ratio(rider_mm)
    at_free = bike_force_n / linkage.ratio(free_mm)
    rate = (at_rider - at_free) / (linkage.stroke(rider_mm) - linkage.stroke(free_mm))
    if rate <= 0:
        raise Refused(_("No spring gives both sags on this linkage: measure again."))
    return _required(rate, at_rider / rate - linkage.stroke(rider_mm))


def _check_two_loads(bike_n: float, rider_n: float, free_mm: float, rider_mm: float) -> None:
    positive(bike_n, _("force of the bike alone"), "N")
    if number(rider_n, _("force with the rider")) <= bike_n:
        raise Refused(
            _(
                "With the rider the wheel must carry more than without: {rider:.0f} N against "
                "{bike:.0f} N was given.",
                rider=rider_n,
                bike=bike_n,
            )
        )
    if number(free_mm, _("free sag")) <= 0:
        raise Refused(
            _(
                "Free sag is zero: the end is topped out, so it says nothing of the spring. Take "
                "preload off until it moves."
            )
        )
    if number(rider_mm, _("rider sag")) - free_mm < LEAST_SAG_STEP_MM:
        raise Refused(
            _(
                "Rider sag must be at least {least:g} mm more than free sag; {rider:g} against "
                "{free:g} mm was given.",
                least=LEAST_SAG_STEP_MM,
                rider=rider_mm,
                free=free_mm,
            )
        )


def _required(rate: float, preload: float) -> RequiredRate:
    if preload < -ROUNDING_MM:
        raise Refused(
            _(
                "That would need {preload:.1f} mm of preload, below zero: the spring is too stiff "
                "for these sags.",
                preload=preload,
            )
        )
    return RequiredRate(
        rate_n_per_mm=rate,
        preload_mm=max(0.0, preload),
        assumptions=(
            _("Linear spring, no air, friction taken out by the three-reading sag."),
            _("The share of the rider's weight on this end was measured or assumed."),
        ),
        cautions=(_("Choose the nearest rate the maker offers, then measure both sags again."),),
    )


@checked
def coil_rate(
    *,
    wire_mm: float,
    mean_diameter_mm: float,
    active_coils: float,
    shear_modulus_gpa: float = 79.3,
) -> float:
    """k = G d^4 / (8 D^3 n) in N/mm; D is the MEAN diameter (outside minus one wire).

    D/d 4-20, at least 2 active coils. Source: Shigley, Mechanical Engineering Design,
    helical compression springs. Within about 2 % for a good coil.

    >>> round(coil_rate(wire_mm=2.5, mean_diameter_mm=22.25, active_coils=16), 3)
    2.197
    """
    wire, mean, modulus = _coil(wire_mm, mean_diameter_mm, shear_modulus_gpa)
    coils = within(active_coils, 2, 200, what=_("active coils"))
    return modulus * wire**4 / (8 * mean**3 * coils)


@checked
def coils_for_rate(
    *,
    rate_n_per_mm: float,
    wire_mm: float,
    mean_diameter_mm: float,
    shear_modulus_gpa: float = 79.3,
) -> float:
    """The number of active coils that gives a rate: the inverse of :func:`coil_rate`.

    >>> round(coils_for_rate(rate_n_per_mm=2.19713, wire_mm=2.5, mean_diameter_mm=22.25), 2)
    16.0
    """
    wire, mean, modulus = _coil(wire_mm, mean_diameter_mm, shear_modulus_gpa)
    rate = positive(rate_n_per_mm, _("rate"), "N/mm")
    return within(modulus * wire**4 / (8 * mean**3 * rate), 2, 200, what=_("active coils"))


@checked
def mean_diameter(*, outside_mm: float, wire_mm: float) -> float:
    """The mean diameter from the outside diameter, which a caliper measures.

    >>> mean_diameter(outside_mm=24.75, wire_mm=2.5)
    22.25
    """
    return positive(outside_mm, _("outside diameter"), "mm") - positive(wire_mm, _("wire"), "mm")


def _coil(wire_mm: float, mean_mm: float, modulus_gpa: float) -> tuple[float, float, float]:
    wire = positive(wire_mm, _("wire"), "mm")
    mean = positive(mean_mm, _("mean diameter"), "mm")
    modulus = within(modulus_gpa, 30, 120, what=_("shear modulus"), unit="GPa") * 1000
    within(
        mean / wire,
        4,
        20,
        what=_("mean diameter over wire"),
        hint=_("Mean diameter is the outside one minus one wire."),
    )
    return wire, mean, modulus
