"""The air pressure at the track. A gauge shows the pressure above it.

Source: US Standard Atmosphere 1976, layer below 11 km.
"""

import math

from ..argument_checks import checked
from ..refusal import within
from ..units import SEA_LEVEL_KPA, STANDARD_GRAVITY
from ..words import _

_EARTH_RADIUS_M = 6_356_766.0
_LAPSE_K_PER_M = 0.0065
_SEA_LEVEL_K = 288.15
_AIR_J_PER_KG_K = 8314.32 / 28.9644
LOW_ENOUGH_M = 200.0


@checked
def station_pressure(*, altitude_m: float) -> float:
    """Mean absolute air pressure in kPa at an altitude of -100 to 3000 m.

    Weather moves it by about 3 kPa either way. Source: US Standard Atmosphere 1976.

    >>> round(station_pressure(altitude_m=1000), 3)
    89.876
    """
    z = within(altitude_m, -100, 3000, what=_("altitude"), unit="m")
    geopotential = _EARTH_RADIUS_M * z / (_EARTH_RADIUS_M + z)
    exponent = STANDARD_GRAVITY / (_LAPSE_K_PER_M * _AIR_J_PER_KG_K)
    return SEA_LEVEL_KPA * math.pow(1 - _LAPSE_K_PER_M * geopotential / _SEA_LEVEL_K, exponent)


@checked
def altitude_cautions(*, station_kpa: float, altitude_m: float | None) -> tuple[str, ...]:
    """Warns when sea-level pressure was used as station pressure above 200 m.

    >>> len(altitude_cautions(station_kpa=101.325, altitude_m=500))
    1
    """
    if altitude_m is None or altitude_m <= LOW_ENOUGH_M:
        return ()
    if abs(station_kpa - station_pressure(altitude_m=altitude_m)) <= 4:
        return ()
    return (
        _(
            "{station:.1f} kPa looks like sea-level pressure; at {altitude:g} m about "
            "{there:.1f} kPa is usual. Forecasts give it reduced to sea level.",
            station=station_kpa,
            altitude=altitude_m,
            there=station_pressure(altitude_m=altitude_m),
        ),
    )
