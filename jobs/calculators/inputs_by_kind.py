"""What the calculator of each kind of reading is given, from the reading and its context.

A kind without a function here has no calculator: nothing is said of it.
"""

from collections.abc import Callable, Mapping, Sequence

from django.utils.translation import gettext as _

from jobs.garage.enums import End
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import (
    LAP_TIMES,
    PUSH_TEST,
    SAG,
    TRAVEL,
    TYRE_PRESSURE,
    TYRE_TEMPERATURE,
    WEAR,
    ReadingKind,
)
from jobs.trackday.models import Entry
from jobs.tuning.damping import COMES_UP
from jobs.tuning.terms import TyreState

from .answers import AnswerLine, CalculatorAnswer
from .bike import (
    WEAR_PLACES,
    as_typed,
    curve_as_typed,
    laps_as_typed,
    laps_of,
    maker_range,
    natural_frequency,
    peaks_as_typed,
    plain,
    settled_words,
    stiction_band,
    travel_figures_as_typed,
)
from .inputs import with_unit
from .reading_context import ReadingContext
from .reading_input import ReadingInput

Inputs = dict[str, str]
# The inputs of the calculator; or an answer that needs none of it; or nothing to say.
Prepare = Callable[[ReadingInput, ReadingContext], Inputs | CalculatorAnswer | None]

INPUTS_BY_KIND: dict[str, Prepare] = {}


def inputs_for(kind: ReadingKind) -> Callable[[Prepare], Prepare]:
    """Register the function that makes the inputs of this kind's calculator."""

    def register(prepare: Prepare) -> Prepare:
        INPUTS_BY_KIND[kind.name] = prepare
        return prepare

    return register


@inputs_for(SAG)
def _sag(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    bike, end = context.entry.bike, reading_input.end or End.FRONT.value
    return {
        "end": end,
        "travel": plain(context.figure(end, "usable_travel_mm")),
        "per_turn": plain(context.figure(end, "preload_mm_per_turn")),
        "rake": plain(bike.rake_deg),
        "ratio": plain(bike.motion_ratio),
        "curve": curve_as_typed(bike),
        **reading_input.inputs("hanging", "after_push", "after_lift", "free"),
    }


@inputs_for(PUSH_TEST)
def _push(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    sag = next(iter(context.before(SAG.name, reading_input.end, reading_input.reading)), None)
    return {
        "oil": reading_input.oil_state or context.oil or "cold",
        "end": reading_input.end or End.FRONT.value,
        "comes_up": next(filter(reading_input.switches.get, COMES_UP), ""),
        "natural": natural_frequency(context.entry.bike, reading_input.end),
        "stiction": stiction_band(sag),
        **reading_input.inputs("seconds", "swings"),
        **peaks_as_typed(reading_input.values.get("peak", [])),
    }


@inputs_for(TYRE_PRESSURE)
def _pressure(
    reading_input: ReadingInput, context: ReadingContext
) -> Inputs | CalculatorAnswer | None:
    """Hot: against the newest cold reading before it, at the air of then and of now."""
    if reading_input.tyre_state != TyreState.TRACK:
        return _cold_pressure(reading_input, context)
    end = reading_input.end or End.REAR.value
    minutes = reading_input.minutes if reading_input.minutes is not None else context.minutes
    inputs: Inputs = {
        "end": end,
        "minutes": plain(minutes),
        "altitude": plain(context.entry.trackday.venue.altitude_m or None),
        **maker_range(context.tyre(end)),
        **{name: value for name, value in reading_input.extra.items() if value},
        **_renamed(reading_input.inputs("pressure"), "pressure", "hot"),
    }
    cold = _last_cold(reading_input, context, end)
    inputs |= as_typed(cold, "pressure", "cold")
    then = context.air_c(cold.done_at) if cold else None
    now = context.air_c()
    # Where nobody entered the air's temperature it is taken as unchanged: then it cancels.
    known = then is not None and now is not None
    inputs["cold_c"] = plain(then) if known else "20"
    inputs["expected_c"] = plain(now) if known else "20"
    return inputs


def _last_cold(reading_input: ReadingInput, context: ReadingContext, end: str) -> Reading | None:
    earlier = context.before(TYRE_PRESSURE.name, end, reading_input.reading)
    cold = (one for one in earlier if one.tyre_state == TyreState.COLD)
    return next((one for one in cold if one.entry_id == context.entry.pk), None)


def _cold_pressure(reading_input: ReadingInput, context: ReadingContext) -> CalculatorAnswer | None:
    """A cold pressure beside the maker's cold range; nothing where no range is entered."""
    tyre = context.tyre(reading_input.end)
    ends = (tyre.maker_range_kpa or {}).get(TyreState.COLD.value) if tyre else None
    if not ends or reading_input.tyre_state != TyreState.COLD:
        return None
    unit = context.figures.units.get("pressure") or "kPa"
    low, high = (with_unit(float(end), "pressure", unit) for end in ends)
    return CalculatorAnswer((AnswerLine(_("Maker's range, cold"), f"{low} – {high}"),))


@inputs_for(TYRE_TEMPERATURE)
def _temperatures(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    minutes = reading_input.minutes if reading_input.minutes is not None else context.minutes
    return {
        "end": reading_input.end or End.REAR.value,
        **reading_input.inputs("left", "centre", "right"),
        "minutes": "0" if minutes is None else f"{minutes:.0f}",
    }


@inputs_for(TRAVEL)
def _travel(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    bike, end = context.entry.bike, reading_input.end or End.FRONT.value
    return {
        "place": reading_input.place,
        "pace": context.entry.group.pace,
        **travel_figures_as_typed(bike, end),
        **reading_input.inputs("used"),
    }


@inputs_for(WEAR)
def _wear(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    """Depths of the tyre since it was fitted, with those being typed as the last."""
    tyre = context.tyre(reading_input.end)
    earlier = context.before(WEAR.name, reading_input.end, reading_input.reading)
    since = [one for one in earlier if tyre is None or one.done_at >= tyre.fitted_at]
    inputs = {
        **{place: _depths(reading_input, list(reversed(since)), place) for place in WEAR_PLACES},
        "limit": "1.0",
        "resolution": "0.1",
        "new": plain(tyre.new_depth_mm) if tyre else "",
    }
    if context.money and tyre and tyre.price_minor is not None:
        inputs["price"] = f"{tyre.price_minor / 100:.2f}"
    return inputs


def _depths(reading_input: ReadingInput, since: Sequence[Reading], place: str) -> str:
    """The depths of one place, oldest first, a session index to each; empty if not read now."""
    newest = reading_input.inputs(place).get(place, "")
    if reading_input.reading:
        newest = (_canonical(reading_input.reading, place) or [""])[0]
    if not newest:
        return ""
    depths = [(index, mm) for index, one in enumerate(since) for mm in _canonical(one, place)]
    return "\n".join(f"{index} {mm}" for index, mm in [*depths, (len(since), newest)])


@inputs_for(LAP_TIMES)
def _pace(reading_input: ReadingInput, context: ReadingContext) -> Inputs:
    """These laps against the outing the bike was settled at, else this rider's one before."""
    laps = (
        laps_of(reading_input.reading)
        if reading_input.reading
        else reading_input.values["laps"][0][0]
    )
    at = reading_input.reading.done_at if reading_input.reading else None
    now = context.wet(context.entry, at) if at else _wet_now(context)
    settled = context.settled_before(reading_input.reading)
    if settled is not None:
        return {
            "before": laps_as_typed(settled.laps),
            "after": laps,
            "reference": settled_words(settled),
            "layout": "yes" if _at_venue(settled.entry, context) else "no",
            "wetness": "yes" if bool(settled.wet) == bool(now) else "no",
        }
    earlier = [
        one
        for one in context.before(LAP_TIMES.name, "", reading_input.reading)
        if one.entry is None or one.entry.rider_id == context.entry.rider_id
    ]
    if not earlier:
        return {"before": laps}
    reference = earlier[0]
    then = context.wet(reference.entry, reference.done_at)
    return {
        "before": laps_of(reference),
        "after": laps,
        "reference": _("the outing before; not settled yet"),
        "layout": "yes" if _at_venue(reference.entry, context) else "no",
        "wetness": "yes" if bool(then) == bool(now) else "no",
    }


def _wet_now(context: ReadingContext) -> bool | None:
    day = context.entry.trackday_id
    said = [one.wet for one in context.conditions if one.trackday_id == day]
    return said[-1] if said else None


def _at_venue(entry: Entry | None, context: ReadingContext) -> bool:
    return entry is not None and entry.trackday.venue_id == context.entry.trackday.venue_id


def _canonical(reading: Reading, name: str) -> list[str]:
    return [plain(value) for value in reading.canonical(name)]


def _renamed(inputs: Mapping[str, str], old: str, new: str) -> Inputs:
    return {name.replace(old, new, 1): value for name, value in inputs.items()}
