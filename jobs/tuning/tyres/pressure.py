"""Cold and hot pressure of one tyre, by the ideal gas law on absolute pressure.

Pressures in kPa gauge, air pressure (station) in kPa absolute, temperatures in degC of the
air in the tyre. Source: OpenStax, College Physics, ch. 13; a real-gas check is in the tests.
"""

from dataclasses import dataclass

from ..argument_checks import checked
from ..refusal import Refused, number, within
from ..terms import TyreState
from ..units import KELVIN_AT_ZERO_CELSIUS, SEA_LEVEL_KPA
from ..words import _
from .atmosphere import altitude_cautions


@checked
def gas_law(
    *,
    kpa_gauge: float,
    from_c: float,
    to_c: float,
    station_kpa: float = SEA_LEVEL_KPA,
    volume_growth: float = 0.0,
) -> float:
    """p2 = (p1 + pa) (T2 / T1) (V1 / V2) - pa, in kPa gauge.

    Gauge 50-400 kPa, air pressure 70-108 kPa absolute, -60..150 degC, ``volume_growth``
    V2/V1 - 1. Source: OpenStax, College Physics, ch. 13.

    >>> round(gas_law(kpa_gauge=250, from_c=35, to_c=-40, station_kpa=101.3))
    164
    """
    start, air = gauge_kpa(kpa_gauge), _station(station_kpa)
    growth = within(volume_growth, -0.2, 0.2, what=_("growth of volume"))
    before, after = (
        within(t, -60, 150, what=_("temperature"), unit=_("°C")) + KELVIN_AT_ZERO_CELSIUS
        for t in (from_c, to_c)
    )
    return (start + air) * (after / before) / (1 + growth) - air


@checked
def hot_from_cold(
    *,
    cold_kpa_gauge: float,
    cold_c: float,
    hot_c: float,
    station_kpa: float = SEA_LEVEL_KPA,
    volume_growth: float = 0.0,
) -> float:
    """The gas law for a tyre at a track: -20..150 degC, else as :func:`gas_law`, in kPa gauge.

    >>> round(hot_from_cold(cold_kpa_gauge=180, cold_c=20, hot_c=80), 2)
    237.58
    """
    return gas_law(
        kpa_gauge=cold_kpa_gauge,
        from_c=_tyre_c(cold_c),
        to_c=_tyre_c(hot_c),
        station_kpa=station_kpa,
        volume_growth=volume_growth,
    )


@checked
def cold_for_hot(
    *,
    hot_kpa_gauge: float,
    hot_c: float,
    set_c: float,
    station_kpa: float = SEA_LEVEL_KPA,
) -> float:
    """The pressure to set at ``set_c`` for a pressure wanted at ``hot_c``, kPa gauge.

    >>> round(cold_for_hot(hot_kpa_gauge=230, hot_c=80, set_c=20), 2)
    173.71
    """
    return hot_from_cold(
        cold_kpa_gauge=hot_kpa_gauge, cold_c=hot_c, hot_c=set_c, station_kpa=station_kpa
    )


@checked
def corrected_cold(
    *,
    cold_kpa_gauge: float,
    hot_measured_kpa_gauge: float,
    hot_target_kpa_gauge: float,
    station_kpa: float = SEA_LEVEL_KPA,
) -> float:
    """pc' = (pc + pa)(ph_target + pa) / (ph_measured + pa) - pa: no temperature needed.

    What was set cold gave ``hot_measured``; this is what to set cold, at the same ambient,
    for ``hot_target``. Refused: a hot reading below the cold one with no bleed recorded.

    >>> round(corrected_cold(cold_kpa_gauge=180, hot_measured_kpa_gauge=240,
    ...                      hot_target_kpa_gauge=230), 2)
    171.76
    """
    cold, hot = gauge_kpa(cold_kpa_gauge), gauge_kpa(hot_measured_kpa_gauge)
    target, air = gauge_kpa(hot_target_kpa_gauge), _station(station_kpa)
    if hot < cold:
        raise Refused(
            _(
                "Hot ({hot:g} kPa) is below cold ({cold:g} kPa). Was air let out? Record the "
                "bleed first; else look for a leak.",
                hot=hot,
                cold=cold,
            )
        )
    return (cold + air) * (target + air) / (hot + air) - air


@checked
def rescaled_to_ambient(
    *,
    cold_kpa_gauge: float,
    set_c: float,
    ambient_c: float,
    station_kpa: float = SEA_LEVEL_KPA,
) -> float:
    """The pressure of the same air at another ambient: absolute pressure times Tc' / Tc.

    >>> round(rescaled_to_ambient(cold_kpa_gauge=171.76, set_c=20, ambient_c=8), 2)
    160.58
    """
    return hot_from_cold(
        cold_kpa_gauge=cold_kpa_gauge, cold_c=set_c, hot_c=ambient_c, station_kpa=station_kpa
    )


@checked
@dataclass(frozen=True)
class MakerRange:
    """What the tyre's maker allows, kPa gauge, in a state of the tyre.

    >>> MakerRange(160, 200, TyreState.COLD).holds(171)
    True
    """

    low_kpa: float
    high_kpa: float
    state: TyreState

    def holds(self, kpa_gauge: float) -> bool:
        return self.low_kpa <= kpa_gauge <= self.high_kpa


@checked
@dataclass(frozen=True)
class SetPressure:
    """The pressure to set cold, or None with the reason in ``refusal``."""

    set_kpa_gauge: float | None
    refusal: str = ""
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@checked
def set_pressure(
    *,
    cold_kpa_gauge: float,
    cold_c: float,
    hot_measured_kpa_gauge: float,
    hot_target_kpa_gauge: float,
    expected_c: float,
    maker_ranges: tuple[MakerRange, ...],
    station_kpa: float = SEA_LEVEL_KPA,
    altitude_m: float | None = None,
) -> SetPressure:
    """The cold pressure to set at the expected ambient, so that the hot one is the target.

    Without a maker's range, or outside it, there is no figure but a reason. A range for the
    cold tyre is compared with the pressure to set, a range off track with the target.

    >>> answer = set_pressure(cold_kpa_gauge=180, cold_c=20, hot_measured_kpa_gauge=240,
    ...     hot_target_kpa_gauge=230, expected_c=8,
    ...     maker_ranges=(MakerRange(155, 200, TyreState.COLD),))
    >>> round(answer.set_kpa_gauge, 2)
    160.58
    """
    same_ambient = corrected_cold(
        cold_kpa_gauge=cold_kpa_gauge,
        hot_measured_kpa_gauge=hot_measured_kpa_gauge,
        hot_target_kpa_gauge=hot_target_kpa_gauge,
        station_kpa=station_kpa,
    )
    figure = rescaled_to_ambient(
        cold_kpa_gauge=same_ambient, set_c=cold_c, ambient_c=expected_c, station_kpa=station_kpa
    )
    refusal = _outside_range(figure, hot_target_kpa_gauge, maker_ranges)
    return SetPressure(
        set_kpa_gauge=None if refusal else figure,
        refusal=refusal,
        assumptions=(
            _("The tyre gets as warm as it did when the hot pressure was read."),
            _("Dry air and an unchanged volume; both move the figure by less than 1 %."),
        ),
        cautions=(
            _("The tyre maker's range comes first. Set it with the tyre as cold as the air."),
            *altitude_cautions(station_kpa=station_kpa, altitude_m=altitude_m),
        ),
    )


def _outside_range(figure: float, target: float, ranges: tuple[MakerRange, ...]) -> str:
    if not ranges:
        return _("No figure: the maker's range for this tyre is not entered.")
    judged = {TyreState.COLD: figure, TyreState.TRACK: target}
    if not any(held.state in judged for held in ranges):
        return _("No figure: the maker's range entered is for a tyre off warmers only.")
    for held in ranges:
        value = judged.get(held.state)
        if value is not None and not held.holds(value):
            return _(
                "No figure: {value:.0f} kPa lies outside the maker's range for this tyre, "
                "{low:g} to {high:g} kPa ({state}).",
                value=value,
                low=held.low_kpa,
                high=held.high_kpa,
                state=_("cold") if held.state == TyreState.COLD else _("off track"),
            )
    return ""


@checked
def gauge_kpa(value: float) -> float:
    """A tyre's gauge pressure, 50-400 kPa. Outside it, the refusal names the likely unit.

    >>> gauge_kpa(230)
    230.0
    """
    given = number(value, _("tyre pressure"))
    hint = ""
    if 0.5 <= given <= 4:
        hint = _("Was it {given:g} bar? That is {kpa:g} kPa.", given=given, kpa=given * 100)
    elif 7.5 <= given < 50:
        hint = _("Was it {given:g} psi? That is {kpa:.0f} kPa.", given=given, kpa=given * 6.894757)
    return within(given, 50, 400, what=_("tyre pressure"), unit=_("kPa gauge"), hint=hint)


def _station(value: float) -> float:
    return within(
        value,
        70,
        108,
        what=_("air pressure"),
        unit=_("kPa absolute"),
        hint=_("It is what a barometer reads at the track, not above zero on a gauge."),
    )


def _tyre_c(celsius: float) -> float:
    return within(celsius, -20, 150, what=_("tyre temperature"), unit=_("°C"))
