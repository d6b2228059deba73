"""From readings to facts: the state for each number, and the same in words."""

from collections.abc import Callable, Iterator

from ..damping import PushClass
from ..terms import AdjusterFunction, End, OilState, TyreState
from ..travel import PLACE_WORDS
from ..units import from_canonical
from ..words import _
from .facts import END_WORDS, FactValue, KnownFacts
from .limits import Band, Limits
from .reasoning_input import (
    AdjusterState,
    BikeSetup,
    Observations,
    PressureReading,
    PushTest,
    SagReading,
    TravelReading,
)
from .tyre_surface import surface_facts

PUSH_STATE = {
    PushClass.NO_RETURN: "no_return",
    PushClass.SLOW: "slow",
    PushClass.QUICK: "fast",
    PushClass.SETTLES: "normal",
    PushClass.ONE_OVERSHOOT: "fast",
    PushClass.KEEPS_BOUNCING: "bouncing",
}
PUSH_WORDS = {
    "no_return": _("stays down"),
    "very_slow": _("comes up very slowly"),
    "slow": _("comes up slowly"),
    "normal": _("settles in about a second"),
    "fast": _("one overshoot"),
    "bouncing": _("keeps bouncing"),
}

Found = Iterator[tuple[str, End | None, str, str]]


def facts_from_readings(
    bike: BikeSetup,
    observed: Observations,
    also: frozenset[str] = frozenset(),
    limits: Limits | None = None,
) -> KnownFacts:
    """Everything that the readings show, as facts, and what to do if one does not count.

    ``also``: codes of all findings logged on the bike today.
    """
    limits = limits or Limits()
    known: dict[tuple[str, End | None], FactValue] = {
        ("also", None): FactValue(also, ", ".join(sorted(also)))
    }
    for source in SOURCES:
        for fact, end, state, words in source(bike, observed, limits):
            known[fact, end] = FactValue(frozenset({state}), words)
    return KnownFacts(known, _missing(observed))


def _missing(observed: Observations) -> dict[tuple[str, End | None], str]:
    """For a push test or a travel reading that does not count: what to do next."""
    said: dict[tuple[str, End | None], str] = {
        ("travel", end): question for end, question in observed.travel_questions.items()
    }
    for push in observed.pushes:
        if push.oil == OilState.WARM:
            said["push", push.end] = _("The push test was warm: check hot first.")
        elif push.oil == OilState.COLD:
            said["push", push.end] = _("The push test was cold: leave as arrived, check again hot.")
        elif not push.this_turnaround:
            said["push", push.end] = _("The hot push test is of an earlier stop: push again, hot.")
    return said


def _pushes(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for push in observed.pushes:
        fact = "push" if counts_as_hot(push) else "cold_push" if push.oil == OilState.COLD else ""
        if fact:
            state = push_state(push, limits)
            yield fact, push.end, state, _push_words(push, state)


def counts_as_hot(push: PushTest) -> bool:
    """Whether rebound may be set from it: hot oil, in this turnaround."""
    return push.oil == OilState.HOT and push.this_turnaround


def push_state(push: PushTest, limits: Limits) -> str:
    """The state for a push test. A slow one of 2 s or more is very slow."""
    if push.seen == PushClass.SLOW and (push.seconds or 0.0) >= limits.very_slow_s:
        return "very_slow"
    return PUSH_STATE[push.seen]


def _push_words(push: PushTest, state: str) -> str:
    seen = _("comes up quickly") if push.seen == PushClass.QUICK else PUSH_WORDS[state]
    words = {"end": END_WORDS[push.end], "oil": push.oil.value, "seen": seen}
    if push.seconds is None:
        return _("{end} push test, {oil}: {seen}", **words)
    return _("{end} push test, {oil}: {seen}, {seconds:.1f} s", seconds=push.seconds, **words)


def _pressures(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for reading in observed.pressures:
        tyre = bike.tyres.get(reading.end)
        band = tyre.maker_range_kpa.get(reading.state) if tyre else None
        if band and reading.usable:
            state = band_state(reading.kpa_gauge, band, ("low", "right", "high"))
            yield "pressure", reading.end, state, _pressure_words(reading, band, state)
    yield from _rises(observed, limits)


def _pressure_words(reading: PressureReading, band: tuple[float, float], state: str) -> str:
    said = {"right": _("inside"), "low": _("below"), "high": _("above")}[state]
    return _(
        "{end} {state} pressure {psi:.1f} psi, {said} the maker's {low:.1f} to {high:.1f}",
        end=END_WORDS[reading.end],
        state=reading.state.value,
        psi=_psi(reading.kpa_gauge),
        said=said,
        low=_psi(band[0]),
        high=_psi(band[1]),
    )


def _rises(observed: Observations, limits: Limits) -> Found:
    for end in End:
        at = {p.state: p.kpa_gauge for p in observed.pressures if p.end == end and p.usable}
        if TyreState.COLD in at and TyreState.TRACK in at:
            rise = _psi(at[TyreState.TRACK] - at[TyreState.COLD])
            small = rise <= limits.small_rise_psi[end]
            state = "small" if small else "large" if rise > limits.large_rise_psi else "normal"
            words = _("{end} pressure rose {rise:.1f} psi", end=END_WORDS[end], rise=rise)
            if state == "small":
                least = limits.small_rise_psi[end]
                words = _("{words}, little: {psi:.0f} or less", words=words, psi=least)
            elif state == "large":
                words = _("{words}, much: over {psi:.0f}", words=words, psi=limits.large_rise_psi)
            yield "rise", end, state, words


def _psi(kpa: float) -> float:
    return from_canonical(value=kpa, unit="psi", quantity="pressure")


def _temperatures(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for read in observed.temperatures:
        yield from surface_facts(read, observed.wet, limits)


def _sags(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for sag in observed.sags:
        end = END_WORDS[sag.end]
        wanted = limits.sag_band(sag.end)
        state = band_state(sag.rider_mm, wanted, ("small", "right", "large"))
        words = _("{end} sag {mm:.0f} mm", end=end, mm=sag.rider_mm)
        yield "sag", sag.end, state, _with_band(words, sag.rider_mm, wanted, "mm")
        band = limits.free_sag_band(sag.end)
        if sag.free_mm is not None and band:
            state = _free_sag_state(sag.free_mm, band)
            words = _("{end} free sag {mm:.0f} mm", end=end, mm=sag.free_mm)
            yield "free_sag", sag.end, state, _with_band(words, sag.free_mm, band, "mm")
        yield from _stiction(sag, limits)


def _free_sag_state(mm: float, band: tuple[float, float]) -> str:
    if mm <= 0 or mm < band[0]:
        return "none"
    return "large" if mm > band[1] else "right"


def _stiction(sag: SagReading, limits: Limits) -> Found:
    if sag.stiction_mm is not None:
        good, bad = limits.stiction_mm[sag.end]
        state = "low" if sag.stiction_mm < good else "high" if sag.stiction_mm >= bad else "some"
        words = _(
            "{end}: {mm:.0f} mm between push and lift", end=END_WORDS[sag.end], mm=sag.stiction_mm
        )
        yield "stiction", sag.end, state, words


def _travels(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for travel in observed.travels:
        words: str = _(
            "{end} travel {used:.0f} of {usable:.0f} mm {place}",
            end=END_WORDS[travel.end],
            used=travel.used_mm,
            usable=travel.usable_mm,
            place=PLACE_WORDS[travel.place],
        )
        state, (low, high) = travel_state(travel, limits), limits.travel_band(travel.end)
        if state != "end":
            share = 100 * travel.used_mm / travel.usable_mm
            words = _with_band(words, share, (100 * low, 100 * high), "%")
        yield "travel", travel.end, state, words


def travel_state(travel: TravelReading, limits: Limits) -> str:
    """Against the end of the travel where it was read, and the band of this end and pace."""
    if travel.usable_mm - travel.used_mm <= limits.end_margin_mm[travel.place]:
        return "end"
    share = travel.used_mm / travel.usable_mm
    return band_state(share, limits.travel_band(travel.end), ("short", "right", "far"))


def _with_band(words: str, value: float, band: Band, unit: str) -> str:
    """The words of a reading, and the band where it is outside of it."""
    state = band_state(value, band, (_("below"), "", _("above")))
    if not state:
        return words
    low, high = band
    return _(
        "{words}, {state} {low:.0f} to {high:.0f} {unit}",
        words=words,
        state=state,
        low=low,
        high=high,
        unit=unit,
    )


def band_state(value: float, band: tuple[float, float], words: tuple[str, str, str]) -> str:
    """The word for a value below, inside or above a range."""
    below, inside, above = words
    return below if value < band[0] else above if value > band[1] else inside


def _clickers(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    for function in (AdjusterFunction.REBOUND, AdjusterFunction.COMPRESSION):
        for end in End:
            counted = [a for a in bike.of(end, function) if a.position is not None and a.usable]
            if counted:
                state = _room(counted[0], limits)
                where = {"closed": _("nearly closed"), "open": _("nearly open"), "mid": _("mid")}
                words = _(
                    "{end} {function}: {where}",
                    end=END_WORDS[end],
                    function=function.value,
                    where=where[state],
                )
                yield function.value, end, state, words


def _room(adjuster: AdjusterState, limits: Limits) -> str:
    """Whether an adjuster is near its firm end (closed), its soft end (open), or neither."""
    position = adjuster.position if adjuster.position is not None else adjuster.lowest
    near = limits.near_end_steps * adjuster.step
    at_low, at_high = position - adjuster.lowest <= near, adjuster.highest - position <= near
    firm_is_low = adjuster.firming == "down"
    if at_low == at_high:
        return "mid"
    return "closed" if at_low == firm_is_low else "open"


def _today(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    said = {
        "raised": _("preload raised today"),
        "reduced": _("preload reduced today"),
        "same": _("preload not touched today"),
    }
    for end, state in observed.preload.items():
        yield "preload", end, state, _("{end} {said}", end=END_WORDS[end], said=said[state])
    for end, tyre in bike.tyres.items():
        if tyre.new_model is not None:
            state = "new" if tyre.new_model else "same"
            words = _("another tyre model") if tyre.new_model else _("the same tyre model")
            yield "tyre", end, state, _("{end}: {words}", end=END_WORDS[end], words=words)


def _of_whole_bike(bike: BikeSetup, observed: Observations, limits: Limits) -> Found:
    if observed.oil is not None:
        yield "oil", None, observed.oil.value, _("oil {oil}", oil=observed.oil.value)
    if observed.laps is not None:
        few = observed.laps < limits.few_laps
        yield "laps", None, "few" if few else "enough", _("{n} laps ridden", n=observed.laps)
    if observed.fades is not None:
        words = _("the last laps got slower") if observed.fades else _("the laps did not fade")
        yield "fade", None, "yes" if observed.fades else "no", words
    if observed.pace is not None:
        yield "pace", None, observed.pace, _("pace: {pace}", pace=observed.pace)
    if observed.gained_s is not None:
        state = "large" if observed.gained_s >= limits.pace_trigger_s else "small"
        words = _("{by:+.1f} s a lap", by=-observed.gained_s)
        yield "pace_gain", None, state, words
    if observed.earlier_day is not None:
        words = _("here before") if observed.earlier_day else _("its first day here")
        yield "earlier_day", None, "yes" if observed.earlier_day else "no", words
    if observed.wet is not None:
        yield "weather", None, *(("wet", _("wet")) if observed.wet else ("dry", _("dry")))
    change = observed.track_change_c
    if change is not None:
        band = (-limits.track_c, limits.track_c)
        state = band_state(change, band, ("colder", "like", "hotter"))
        yield "track", None, state, _("track {change:+.0f} °C", change=change)


SOURCES: tuple[Callable[[BikeSetup, Observations, Limits], Found], ...] = (
    _pushes, _pressures, _temperatures, _sags, _travels, _clickers, _today, _of_whole_bike,
)  # fmt: skip
