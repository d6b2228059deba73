"""Tyre pressure, cold against hot, and temperatures across the tread."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import practice, tyres
from jobs.tuning.terms import TyreState
from jobs.tuning.units import KELVIN_AT_ZERO_CELSIUS, SEA_LEVEL_KPA, from_canonical, symbol_of

from ..answers import AnswerLine, Calculator, CalculatorAnswer
from ..drawings import pressure_line
from ..inputs import Field, InputValues, signed
from .sag import ENDS, target_line

GROUP = _("Tyres")


def station_kpa(given: InputValues) -> float:
    """The barometer if it was read, else the altitude's mean, else sea level."""
    station, altitude = given.get("station"), given.get("altitude")
    if station is not None:
        return station
    return SEA_LEVEL_KPA if altitude is None else tyres.station_pressure(altitude_m=altitude)


def maker_ranges(given: InputValues) -> tuple[tyres.MakerRange, ...]:
    """What the maker allows: for the cold tyre, for the hot one, or both."""
    states = ((TyreState.COLD, "cold_low", "cold_high"), (TyreState.TRACK, "hot_low", "hot_high"))
    found = []
    for state, lowest, highest in states:
        low, high = given.get(lowest), given.get(highest)
        if low is not None and high is not None:
            found.append(tyres.MakerRange(low, high, state))
    return tuple(found)


def _pressure(given: InputValues) -> CalculatorAnswer:
    reading = tyres.hot_reading(
        kpa_gauge=given["hot"], minutes_since_stop=given.get("minutes") or 0.0
    )
    lines = [_rise(given), _published_rise(given)]
    if reading.note:
        lines.insert(0, AnswerLine(gettext("Hot reading"), str(reading.note)))
    if not reading.use_as_hot:
        return CalculatorAnswer(tuple(lines))
    air = station_kpa(given)
    lines.append(
        AnswerLine(
            gettext("Air pressure used"), f"{air:.1f} kPa", gettext("absolute, at the track")
        )
    )
    target = given.get("target")
    if target is None:
        return _for_the_hot_range(given, air, lines)
    found = _to_set(given, target, air)
    return CalculatorAnswer(
        (_set_line(given, found), *lines),
        assumptions=found.assumptions,
        cautions=found.cautions,
        picture=_picture(given, found.set_kpa_gauge, air),
    )


def _to_set(given: InputValues, target: float, air: float) -> tyres.SetPressure:
    return tyres.set_pressure(
        cold_kpa_gauge=given["cold"],
        cold_c=given["cold_c"],
        hot_measured_kpa_gauge=given["hot"],
        hot_target_kpa_gauge=target,
        expected_c=given["expected_c"],
        maker_ranges=maker_ranges(given),
        station_kpa=air,
        altitude_m=given.get("altitude"),
    )


def _set_line(given: InputValues, found: tyres.SetPressure) -> AnswerLine:
    if found.set_kpa_gauge is None:
        return AnswerLine(gettext("Set cold"), gettext("no figure"), str(found.refusal))
    unit = given.units["cold"][1]
    note = "" if unit == "kPa" else f"{found.set_kpa_gauge:.0f} kPa"
    return AnswerLine(gettext("Set cold"), given.shown(found.set_kpa_gauge, "cold"), note)


def _for_the_hot_range(given: InputValues, air: float, lines: list[AnswerLine]) -> CalculatorAnswer:
    """Without a target of one's own: what to set cold for the two ends of the maker's hot range."""
    hot = next((r for r in maker_ranges(given) if r.state == TyreState.TRACK), None)
    if hot is None:
        note = gettext("Enter the target hot, or the maker's range for the hot tyre.")
        return CalculatorAnswer((lines[0], *lines[1:]), says=(note,))
    ends = [_to_set(given, end, air) for end in (hot.low_kpa, hot.high_kpa)]
    first = AnswerLine(
        gettext("Set cold, for the maker's hot range"),
        " … ".join(
            gettext("no figure")
            if found.set_kpa_gauge is None
            else given.shown(found.set_kpa_gauge, "cold")
            for found in ends
        ),
        "; ".join(dict.fromkeys(str(found.refusal) for found in ends if found.refusal)),
    )
    return CalculatorAnswer(
        (first, *lines), assumptions=ends[0].assumptions, cautions=ends[0].cautions
    )


def _rise(given: InputValues) -> AnswerLine:
    rise = given["hot"] - given["cold"]
    quantity, unit = given.units["cold"]
    shown = from_canonical(value=rise, unit=unit, quantity=quantity)
    return AnswerLine(gettext("Rise, cold to hot"), f"{signed(shown, 1)} {symbol_of(unit)}")


def _published_rise(given: InputValues) -> AnswerLine:
    line = target_line(practice.target(f"rise_{given.text('end')}", given.figures.bands))
    return AnswerLine(gettext("Rise usually seen"), line.value, line.note)


def _picture(given: InputValues, set_kpa: float | None, air: float) -> str:
    """The line needs the hot air's temperature, which the ideal gas law gives back."""
    if set_kpa is None:
        return ""
    expected_k = given["expected_c"] + KELVIN_AT_ZERO_CELSIUS
    hot_c = (given["target"] + air) / (set_kpa + air) * expected_k - KELVIN_AT_ZERO_CELSIUS
    return pressure_line(
        set_kpa=set_kpa,
        set_c=given["expected_c"],
        hot_c=hot_c,
        target_kpa=given["target"],
        station_kpa=air,
        unit=given.units["target"][1],
    )


PRESSURE = Calculator(
    slug="pressure",
    title=_("Tyre pressure"),
    asks=_("What to set cold, so that it runs at the target hot?"),
    group=GROUP,
    fields=(
        Field("end", _("end"), choices=ENDS, default="rear"),
        Field("cold", _("set cold"), "pressure"),
        Field("cold_c", _("air when it was set"), "temperature", default="20"),
        Field("hot", _("read hot"), "pressure"),
        Field("minutes", _("minutes since the stop"), needed=False, default="1"),
        Field("target", _("target hot"), "pressure", needed=False),
        Field("expected_c", _("air expected when setting"), "temperature", default="20"),
        Field("cold_low", _("maker's range cold, from"), "pressure", needed=False, further=True),
        Field("cold_high", _("maker's range cold, to"), "pressure", needed=False, further=True),
        Field("hot_low", _("maker's range hot, from"), "pressure", needed=False, further=True),
        Field("hot_high", _("maker's range hot, to"), "pressure", needed=False, further=True),
        Field("altitude", _("altitude"), "altitude", needed=False, further=True),
        Field("station", _("or barometer at the track"), "barometer", needed=False,
              help=_("as it stands there, not reduced to sea level"), further=True),
    ),
    compute=_pressure,
    formula=("p₂ = (p₁ + pₐ) T₂ / T₁ − pₐ",
             "p_set = ((p_cold + pₐ)(p_target + pₐ) / (p_hot + pₐ)) T_expected / T_cold − pₐ"),
    source=_("OpenStax, College Physics, ch. 13; US Standard Atmosphere 1976."),
    crew=True,
)  # fmt: skip


def _temperatures(given: InputValues) -> CalculatorAnswer:
    found = tyres.surface_temperatures(
        left_c=given["left"],
        centre_c=given["centre"],
        right_c=given["right"],
        minutes_since_stop=given["minutes"],
    )
    return CalculatorAnswer(
        (
            AnswerLine(gettext("Spread"), f"{found.spread_c:.0f} °C", str(found.note)),
            _usual_heat(given),
            AnswerLine(
                gettext("Centre against the sides"), f"{signed(found.centre_deviation_c, 0)} °C"
            ),
            AnswerLine(gettext("Left minus right"), f"{signed(found.left_minus_right_c, 0)} °C"),
            AnswerLine(
                gettext("Read after the stop"), gettext("%(min)g min") % {"min": given["minutes"]}
            ),
        ),
        cautions=found.cautions,
    )


def _usual_heat(given: InputValues) -> AnswerLine:
    line = target_line(practice.target(f"heat_{given.text('end')}", given.figures.bands))
    return AnswerLine(gettext("Usual of the hottest place"), line.value, line.note)


TEMPERATURES = Calculator(
    slug="temperatures",
    title=_("Tyre temperatures"),
    asks=_("How evenly is the tyre warm?"),
    group=GROUP,
    fields=(
        Field("end", _("end"), choices=ENDS, default="rear"),
        Field("left", _("left"), "temperature", help=_("as the rider sits")),
        Field("centre", _("centre"), "temperature"),
        Field("right", _("right"), "temperature"),
        Field("minutes", _("minutes since the stop"), default="1"),
    ),
    compute=_temperatures,
    formula=("spread = max − min", "centre deviation = centre − (left + right) / 2"),
    source=_("Of the surface, just off a dry track: a hint. Common practice, no source."),
    crew=True,
)  # fmt: skip
