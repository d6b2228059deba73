"""The motion of a damped spring: decrement, overshoot, slow return, height over time.

zeta is the damping ratio. With 1 the spring returns as fast as possible without overshoot.
Source: Rao, Mechanical Vibrations, free vibration with viscous damping.
"""

import math
from dataclasses import dataclass

from ..argument_checks import checked
from ..refusal import Refused, number, positive, within
from ..solve import root
from ..words import _

MOST_ZETA = 100.0


@checked
def zeta_from_decrement(*, decrement: float) -> float:
    """zeta = delta / sqrt(4 pi^2 + delta^2), delta the decrement of one full cycle.

    >>> round(zeta_from_decrement(decrement=0.636), 3)
    0.101
    """
    delta = number(decrement, _("decrement"))
    return delta / math.hypot(2 * math.pi, delta)


@checked
def log_decrement(*, first_mm: float, last_mm: float, cycles: float = 1.0) -> float:
    """delta = ln(x0 / xn) / n, from peaks on the same side n full cycles apart.

    >>> round(log_decrement(first_mm=0.85, last_mm=0.45), 2)
    0.64
    """
    first = positive(first_mm, _("first peak"), "mm")
    last = positive(last_mm, _("last peak"), "mm")
    if last >= first:
        raise Refused(_("The last peak must be smaller than the first: is it damped at all?"))
    return math.log(first / last) / positive(cycles, _("cycles"))


@checked
def overshoot_ratio(*, zeta: float) -> float:
    """x1 / x0 = exp(-pi zeta / sqrt(1 - zeta^2)) for 0 <= zeta < 1.

    >>> round(100 * overshoot_ratio(zeta=0.75), 3)
    2.838
    """
    value = within(zeta, 0, 0.999999, what=_("damping ratio"))
    return math.exp(-math.pi * value / math.sqrt(1 - value**2))


@checked
def remaining(*, seconds: float, zeta: float, natural_hz: float) -> float:
    """The fraction of the push still to come back after a time, for zeta >= 1.

    (s2 e^(-s1 t) - s1 e^(-s2 t)) / (s2 - s1), s = wn (zeta -+ sqrt(zeta^2 - 1)); at zeta = 1
    its limit (1 + wn t) e^(-wn t).

    >>> round(remaining(seconds=0.70597, zeta=2, natural_hz=2), 4)
    0.1
    """
    wn = 2 * math.pi * positive(natural_hz, _("natural frequency"), "Hz")
    within(zeta, 1, MOST_ZETA, what=_("damping ratio"))
    if seconds < 0:
        raise Refused(_("A time after letting go is not below zero."))
    if zeta < 1 + 1e-6:
        return (1 + wn * seconds) * math.exp(-wn * seconds)
    spread = math.sqrt(zeta**2 - 1)
    slow, fast = wn / (zeta + spread), wn * (zeta + spread)
    return (fast * math.exp(-slow * seconds) - slow * math.exp(-fast * seconds)) / (fast - slow)


@checked
def return_time(*, zeta: float, natural_hz: float, left: float = 0.1) -> float:
    """Seconds until only ``left`` of the push remains, zeta 1 to 100.

    >>> round(return_time(zeta=2, natural_hz=2), 5)
    0.70597
    """
    value = within(zeta, 1, MOST_ZETA, what=_("damping ratio"))
    share = within(left, 0.01, 0.5, what=_("share left"))
    frequency = within(natural_hz, 0.5, 6, what=_("natural frequency"), unit="Hz")
    longest = 4 * value * -math.log(share) / frequency
    return root(
        lambda t: remaining(seconds=t, zeta=value, natural_hz=frequency) - share, 0.0, longest
    )


@checked
def peaks(
    *, push_mm: float, zeta_rebound: float, zeta_compression: float, count: int = 2
) -> tuple[float, ...]:
    """Successive extremes in mm, up positive. Rebound damps the first half swing, compression
    the second, and so on.

    >>> [round(x, 4) for x in peaks(push_mm=40, zeta_rebound=0.5, zeta_compression=0.2)]
    [6.5213, -3.4343]
    """
    size, found = positive(push_mm, _("push"), "mm"), []
    for i in range(int(within(count, 1, 100, what=_("number of peaks")))):
        size *= overshoot_ratio(zeta=zeta_compression if i % 2 else zeta_rebound)
        found.append(-size if i % 2 else size)
    return tuple(found)


@checked
def trace(
    *, zeta: float, natural_hz: float, seconds: float = 2.0, points: int = 81
) -> tuple[tuple[float, float], ...]:
    """Pairs (time in s, height / push) after letting go at -1.

    Initial speed zero; viscous damping, no stiction. zeta from 0 up.

    >>> trace(zeta=0.5, natural_hz=2.0, points=3)[0]
    (0.0, -1.0)
    """
    value = within(zeta, 0, MOST_ZETA, what=_("damping ratio"))
    wn = 2 * math.pi * within(natural_hz, 0.5, 6, what=_("natural frequency"), unit="Hz")
    last = int(within(points, 2, 2001, what=_("number of points"))) - 1
    times = [positive(seconds, _("time"), "s") * i / last for i in range(last + 1)]
    if value >= 1:
        return tuple((t, -remaining(seconds=t, zeta=value, natural_hz=natural_hz)) for t in times)
    damped = wn * math.sqrt(1 - value**2)
    lag = value * wn / damped
    return tuple(
        (t, -math.exp(-value * wn * t) * (math.cos(damped * t) + lag * math.sin(damped * t)))
        for t in times
    )


@checked
@dataclass(frozen=True)
class Oscillator:
    """A mass on a spring and damper: rad/s, N/m, N s/m."""

    natural_rad_s: float
    stiffness_n_per_m: float
    damping_n_s_per_m: float


@checked
def oscillator(*, mass_kg: float, damped_period_s: float, zeta: float) -> Oscillator:
    """wn = wd / sqrt(1 - zeta^2), k = m wn^2, c = 2 zeta wn m, for 0 <= zeta < 1.

    >>> found = oscillator(mass_kg=200, damped_period_s=2, zeta=0.4037)
    >>> round(found.natural_rad_s, 3), round(found.stiffness_n_per_m)
    (3.434, 2358)
    """
    mass = positive(mass_kg, _("mass"), "kg")
    value = within(zeta, 0, 0.999999, what=_("damping ratio"))
    damped = 2 * math.pi / positive(damped_period_s, _("period"), "s")
    natural = damped / math.sqrt(1 - value**2)
    return Oscillator(natural, mass * natural**2, 2 * value * natural * mass)


@checked
def peak_time(*, zeta: float, natural_rad_s: float) -> float:
    """Seconds to the first extreme, pi / (wn sqrt(1 - zeta^2)), for 0 <= zeta < 1.

    >>> round(peak_time(zeta=0.75, natural_rad_s=10), 3)
    0.475
    """
    value = within(zeta, 0, 0.999999, what=_("damping ratio"))
    return math.pi / (positive(natural_rad_s, _("frequency")) * math.sqrt(1 - value**2))
