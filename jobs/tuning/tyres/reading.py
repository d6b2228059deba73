"""Whether a hot reading may be used, and what three surface temperatures show.

How old is too old: ``jobs.tuning.cooling``.
"""

from dataclasses import dataclass

from ..argument_checks import checked
from ..cooling import FRESH_MINUTES, HOT_MINUTES
from ..refusal import number, within
from ..words import _
from .pressure import gauge_kpa


@checked
@dataclass(frozen=True)
class HotReading:
    """A hot pressure and whether it may be used as one."""

    kpa_gauge: float
    minutes_since_stop: float
    use_as_hot: bool
    note: str = ""


@checked
def hot_reading(*, kpa_gauge: float, minutes_since_stop: float) -> HotReading:
    """Fresh until ``FRESH_MINUTES`` after the stop, then reading low, and after
    ``HOT_MINUTES`` recorded but not used as hot. Common practice, no source.

    >>> hot_reading(kpa_gauge=232, minutes_since_stop=3).note
    '3 min old, reads low'
    """
    pressure = gauge_kpa(kpa_gauge)
    age = _age(minutes_since_stop)
    if age <= FRESH_MINUTES:
        return HotReading(pressure, age, use_as_hot=True)
    if age <= HOT_MINUTES:
        return HotReading(
            pressure, age, use_as_hot=True, note=_("{age:.0f} min old, reads low", age=age)
        )
    note = _("{age:.0f} min old: kept, but not used as a hot reading", age=age)
    return HotReading(pressure, age, use_as_hot=False, note=note)


@checked
@dataclass(frozen=True)
class SurfaceTemperatures:
    """Three temperatures across a tread in degC, as differences, without a verdict."""

    spread_c: float
    centre_deviation_c: float
    left_minus_right_c: float
    note: str = ""
    cautions: tuple[str, ...] = ()


@checked
def surface_temperatures(
    *, left_c: float, centre_c: float, right_c: float, minutes_since_stop: float
) -> SurfaceTemperatures:
    """Spread, centre against the mean of the sides, left minus right (rider's view), degC.

    -20..150 degC. Only differences are reported: the rule from cars that a hot centre means
    too much pressure is not motorcycle advice. Common practice, no source.

    >>> seen = surface_temperatures(left_c=62, centre_c=58, right_c=70, minutes_since_stop=1)
    >>> seen.spread_c, seen.centre_deviation_c, seen.left_minus_right_c
    (12.0, -8.0, -8.0)
    """
    left, centre, right = (
        within(value, -20, 150, what=name, unit=_("°C"))
        for name, value in (
            (_("left"), left_c),
            (_("centre"), centre_c),
            (_("right"), right_c),
        )
    )
    age = _age(minutes_since_stop)
    return SurfaceTemperatures(
        spread_c=max(left, centre, right) - min(left, centre, right),
        centre_deviation_c=centre - (left + right) / 2,
        left_minus_right_c=left - right,
        note="" if age <= FRESH_MINUTES else _("{age:.0f} min old, already cooling", age=age),
        cautions=(
            _("A track has more corners one way than the other: left and right differ by that."),
        ),
    )


def _age(minutes: float) -> float:
    number(minutes, _("minutes since the stop"))
    return within(minutes, 0, 1440, what=_("minutes since the stop"), unit=_("min"))
