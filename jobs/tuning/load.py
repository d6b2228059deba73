"""Braking loads, fork travel with an air spring, ride frequency, travel left.

Source: statics of a rigid motorcycle in the plane (Cossalter, Motorcycle Dynamics, the
chapter on front and rear wheel equilibrium; from memory); checked with sympy.
"""

import math
from dataclasses import dataclass

from .argument_checks import checked
from .refusal import Refused, number, positive, within
from .sag import rake_radians
from .solve import root
from .units import SEA_LEVEL_KPA, STANDARD_GRAVITY
from .words import _

THREE_QUARTERS = (65.0, 85.0)  # percent; common practice, no source; per business


@checked
@dataclass(frozen=True)
class WheelLoads:
    """Loads on the two wheels in N, both on the ground; ``transfer_n`` went to the front."""

    front_n: float
    rear_n: float
    transfer_n: float


@checked
def wheel_loads(
    *,
    mass_kg: float,
    wheelbase_mm: float,
    centre_to_front_mm: float,
    centre_height_mm: float,
    deceleration_m_s2: float = 0.0,
) -> WheelLoads:
    """dN = m a h / wheelbase from rear to front under braking.

    ``centre_to_front_mm``: centre of mass to front axle, level. Bike and rider together.
    Refused from :func:`lifting_deceleration` on: one wheel is in the air, and nothing rests.

    >>> loads = wheel_loads(mass_kg=260, wheelbase_mm=1400, centre_to_front_mm=700,
    ...                     centre_height_mm=620, deceleration_m_s2=0.9 * 9.80665)
    >>> round(loads.front_n, 2), round(loads.rear_n, 2)
    (2291.11, 258.62)
    """
    mass = within(mass_kg, 60, 600, what=_("mass of bike and rider"), unit="kg")
    base = within(wheelbase_mm, 1000, 2000, what=_("wheelbase"), unit="mm")
    to_front = within(centre_to_front_mm, 0, base, what=_("centre of mass to front"), unit="mm")
    height = within(centre_height_mm, 200, 1200, what=_("height of centre of mass"), unit="mm")
    slowing = within(deceleration_m_s2, 0, 20, what=_("deceleration"), unit="m/s2")
    weight = mass * STANDARD_GRAVITY
    transfer = mass * slowing * height / base
    rear = weight * to_front / base - transfer
    if rear < 0:
        raise Refused(
            _(
                "At {slowing:.2f} g the rear wheel is in the air: it lifts at {lifts:.2f} g.",
                slowing=slowing / STANDARD_GRAVITY,
                lifts=to_front / height,
            )
        )
    return WheelLoads(weight - rear, rear, transfer)


@checked
def lifting_deceleration(
    *, centre_to_front: float, centre_height: float, gravity: float = STANDARD_GRAVITY
) -> float:
    """The deceleration that lifts the rear wheel, a = g b / h, in the unit of ``gravity``.

    b from the centre of mass to the front axle, h its height, both in one unit.

    >>> round(lifting_deceleration(centre_to_front=73, centre_height=78.5, gravity=9.81), 4)
    9.1227
    """
    ahead = positive(centre_to_front, _("centre of mass to front"))
    return gravity * ahead / positive(centre_height, _("height of centre of mass"))


@checked
def fork_axial_n(
    *,
    front_load_n: float,
    brake_force_n: float,
    unsprung_kg: float,
    deceleration_m_s2: float,
    rake_deg: float,
) -> float:
    """F = (Nf - mu g) cos(rake) + (Fb - mu a) sin(rake), along the fork, N.

    ``brake_force_n`` at the front tyre, ``unsprung_kg`` mu of wheel, brakes and sliders.

    >>> round(fork_axial_n(front_load_n=2291.11, brake_force_n=2294.76, unsprung_kg=17,
    ...                    deceleration_m_s2=8.825985, rake_deg=24), 1)
    2813.1
    """
    rake = rake_radians(rake_deg)
    unsprung = within(unsprung_kg, 5, 40, what=_("unsprung mass at the front"), unit="kg")
    slowing = within(deceleration_m_s2, 0, 20, what=_("deceleration"), unit="m/s2")
    down = number(front_load_n, _("front load")) - unsprung * STANDARD_GRAVITY
    back = number(brake_force_n, _("brake force")) - unsprung * slowing
    return down * math.cos(rake) + back * math.sin(rake)


@checked
@dataclass(frozen=True)
class AirSpring:
    """The air above the oil in both legs, at the pressure they were closed at.

    ``area_mm2`` of one leg's inside, ``volume_cm3`` of air in one leg at full extension;
    ``exponent`` 1 slow, about 1.3 quick.
    """

    area_mm2: float
    volume_cm3: float
    exponent: float = 1.3
    closed_at_kpa: float = SEA_LEVEL_KPA

    def __post_init__(self) -> None:
        within(self.area_mm2, 200, 4000, what=_("area of one leg's inside"), unit="mm2")
        within(self.volume_cm3, 20, 2000, what=_("air in one leg"), unit="cm3")
        within(self.exponent, 1, 1.7, what=_("exponent of the air"))
        within(self.closed_at_kpa, 70, 1000, what=_("pressure it was closed at"), unit="kPa")

    @property
    def most_travel_mm(self) -> float:
        """Just short of where no air is left, mm."""
        return 0.999999 * self.volume_cm3 * 1000 / self.area_mm2

    def force_n(self, x_mm: float) -> float:
        """2 p0 A [(V0 / (V0 - A x))^n - 1] at leg travel ``x_mm``, N.

        >>> round(AirSpring(area_mm2=1300, volume_cm3=250, exponent=1.0).force_n(100), 1)
        285.4
        """
        volume = self.volume_cm3 * 1000
        left = volume - self.area_mm2 * x_mm
        if left <= 0:
            raise Refused(
                _("At {x:.0f} mm there is no air left above the oil: check the level.", x=x_mm)
            )
        ratio: float = (volume / left) ** self.exponent
        return 2 * self.closed_at_kpa / 1000 * self.area_mm2 * (ratio - 1)


@checked
def fork_travel_mm(
    *,
    axial_n: float,
    pair_n_per_mm: float,
    preload_mm: float,
    usable_mm: float,
    air: AirSpring | None = None,
) -> float | None:
    """Leg travel where spring (and air) carry the axial force: F = k (x + p) + air(x).

    Without air x = F / k - p. None: it would pass ``usable_mm`` (30-400), so the fork stands at
    its end and this says no more. Static: damping makes a quick dive shorter, the moving mass
    makes it longer.

    >>> round(fork_travel_mm(axial_n=2813.07, pair_n_per_mm=19, preload_mm=15, usable_mm=140), 2)
    133.06
    >>> fork_travel_mm(axial_n=2813.07, pair_n_per_mm=19, preload_mm=15, usable_mm=120) is None
    True
    """
    rate = positive(pair_n_per_mm, _("rate of the pair"), "N/mm")
    preload = within(preload_mm, 0, 60, what=_("preload"), unit="mm")
    usable = within(usable_mm, 30, 400, what=_("usable travel"), unit="mm")
    straight = max(0.0, number(axial_n, _("force along the fork")) / rate - preload)
    if air is None or straight == 0:
        return straight if straight <= usable else None
    bottom = min(usable, air.most_travel_mm)
    if rate * (bottom + preload) + air.force_n(bottom) < axial_n:
        return None
    return root(lambda x: rate * (x + preload) + air.force_n(x) - axial_n, 0.0, bottom)


@checked
def ride_frequency_hz(*, wheel_rate_n_per_mm: float, sprung_kg: float) -> float:
    """f = sqrt(k / m) / 2 pi, from the rate at the wheel and the mass it carries.

    Never from measured sag: preload makes sag smaller without making the spring stiffer.

    >>> round(ride_frequency_hz(wheel_rate_n_per_mm=22.766, sprung_kg=98), 3)
    2.426
    """
    rate = positive(wheel_rate_n_per_mm, _("rate at the wheel"), "N/mm") * 1000
    mass = positive(sprung_kg, _("sprung mass"), "kg")
    return math.sqrt(rate / mass) / (2 * math.pi)


@checked
@dataclass(frozen=True)
class TravelMargin:
    """The travel left in mm, the part used in percent, and what that means."""

    margin_mm: float
    used_percent: float
    says: str


@checked
def travel_margin(
    *,
    usable_mm: float,
    used_mm: float,
    low_percent: float = THREE_QUARTERS[0],
    high_percent: float = THREE_QUARTERS[1],
) -> TravelMargin:
    """Usable travel minus used; about three quarters used is common practice, no source.

    ``usable_mm`` is stored per bike, up to the end mark of the ring; it is not the catalogue's
    figure.

    >>> margin = travel_margin(usable_mm=112, used_mm=84)
    >>> margin.margin_mm, margin.used_percent, str(margin.says)
    (28.0, 75.0, 'within the band')
    """
    usable = within(usable_mm, 30, 400, what=_("usable travel"), unit="mm")
    used = number(used_mm, _("travel used"))
    if not 0 <= used <= usable:
        raise Refused(
            _(
                "Travel used ({used:g} mm) must lie between 0 and the usable travel "
                "({usable:g} mm). Was the ring zeroed, is the end mark right?",
                used=used,
                usable=usable,
            )
        )
    percent = 100 * used / usable
    if percent < low_percent:
        says = _("less than the band")
    elif percent > high_percent:
        says = _("more than the band")
    else:
        says = _("within the band")
    return TravelMargin(usable - used, percent, says)
