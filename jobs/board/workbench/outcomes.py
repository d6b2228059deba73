"""From a reading and what is known around it to a calculator's inputs, and its answer."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.garage.enums import End
from jobs.setups.enums import ReadingKind
from jobs.setups.models import Reading
from jobs.trackday.models import Entry
from jobs.tuning.terms import TyreState

from .answers import Answer, Line, Result, work_out
from .bike import (
    WEAR_PLACES,
    curve_as_typed,
    laps_as_typed,
    laps_of,
    maker_range,
    natural_frequency,
    peaks_as_typed,
    plain,
    settled_words,
    stiction_band,
)
from .calculators import BY_SLUG
from .inputs import with_unit
from .moment import Moment
from .taken import Taken

Inputs = dict[str, str]


@dataclass(frozen=True)
class Outcome:
    """What one reading comes to: whose, the answer, and the bench it can be looked into on.

    ``lacks_figures``: all that is missing is on the bike's own list of figures.
    """

    title: str
    result: Result
    bench: str = ""
    lacks_figures: bool = False


def outcome(taken: Taken, moment: Moment) -> Outcome | None:
    """The outcome of a reading; None where the kind has none or nothing is typed yet."""
    if not taken.anything:
        return None
    title = title_of(taken)
    if taken.kind == ReadingKind.PRESSURE and taken.tyre_state != TyreState.TRACK:
        answer = cold_pressure(taken, moment)
        return Outcome(title, Result(answer=answer)) if answer else None
    slug, inputs = INPUTS[ReadingKind(taken.kind)](taken, moment)
    calculator = BY_SLUG[slug]
    defaults = {one.name: one.default for one in calculator.fields if one.choices}
    result = work_out(calculator, {**defaults, **inputs}, moment.house)
    query = {name: value for name, value in inputs.items() if value}
    url = reverse("workbench:page", args=[slug], query={"bike": moment.entry.bike_id, **query})
    figures = {str(one.label) for one in calculator.fields if one.name in FIGURES}
    lacks = bool(result.missing) and set(result.missing) <= figures
    return Outcome(title, result, url if len(url) < MOST_URL else "", lacks)


# Inputs that are figures of the bike, not of a reading.
FIGURES = {"travel", "usable", "rake", "ratio", "per_turn"}
# Longer addresses are cut by proxies; a page without its numbers is worse than no link.
MOST_URL = 1800


def outcomes(taken: Iterable[Taken], moment: Moment) -> list[Outcome]:
    found = (outcome(one, moment) for one in taken)
    return [one for one in found if one is not None]


def title_of(taken: Taken) -> str:
    kind = str(ReadingKind(taken.kind).label)
    if not taken.end:
        return kind.capitalize()
    return f"{str(End(taken.end).label).capitalize()} {kind}"


def _sag(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    bike, end = moment.entry.bike, taken.end or End.FRONT.value
    return "sag", {
        "end": end,
        "travel": plain(moment.figure(end, "usable_travel_mm")),
        "per_turn": plain(moment.figure(end, "preload_mm_per_turn")),
        "rake": plain(bike.rake_deg),
        "ratio": plain(bike.motion_ratio),
        "curve": curve_as_typed(bike),
        **taken.inputs("hanging", "after_push", "after_lift", "free"),
    }


def _push(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    stays = any(value not in ("", "0") for value, _unit in taken.values.get("stays", []))
    sag = next(iter(moment.before(ReadingKind.SAG, taken.end, taken.reading)), None)
    return "push", {
        "oil": taken.oil_state or moment.oil or "cold",
        "returned": "no" if stays else "yes",
        "natural": natural_frequency(moment.entry.bike, taken.end),
        "stiction": stiction_band(sag),
        **taken.inputs("seconds", "swings"),
        **peaks_as_typed(taken.values.get("peak", [])),
    }


def _pressure(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    """Hot against the newest cold reading before it, at the air of then and of now."""
    end = taken.end or End.REAR.value
    minutes = taken.minutes if taken.minutes is not None else moment.minutes
    inputs: Inputs = {
        "end": end,
        "minutes": plain(minutes),
        "altitude": plain(moment.entry.trackday.venue.altitude_m or None),
        **maker_range(moment.tyre(end)),
        **{name: value for name, value in taken.extra.items() if value},
        **_renamed(taken.inputs("pressure"), "pressure", "hot"),
    }
    cold = _last_cold(taken, moment, end)
    if cold is not None:
        inputs |= _renamed(_measured(cold, "pressure"), "pressure", "cold")
    then = moment.air_c(cold.done_at) if cold else None
    now = moment.air_c()
    # Where nobody entered the air's temperature it is taken as unchanged: then it cancels.
    known = then is not None and now is not None
    inputs["cold_c"] = plain(then) if known else "20"
    inputs["expected_c"] = plain(now) if known else "20"
    return "pressure", inputs


def _last_cold(taken: Taken, moment: Moment, end: str) -> Reading | None:
    earlier = moment.before(ReadingKind.PRESSURE, end, taken.reading)
    cold = (one for one in earlier if one.tyre_state == TyreState.COLD)
    return next((one for one in cold if one.entry_id == moment.entry.pk), None)


def cold_pressure(taken: Taken, moment: Moment) -> Answer | None:
    """A cold pressure beside the maker's cold range; nothing where no range is entered."""
    tyre = moment.tyre(taken.end)
    ends = (tyre.maker_range_kpa or {}).get(TyreState.COLD.value) if tyre else None
    if not ends or taken.tyre_state != TyreState.COLD:
        return None
    unit = moment.house.units.get("pressure") or "kPa"
    low, high = (with_unit(float(end), "pressure", unit) for end in ends)
    return Answer((Line(_("Maker's range, cold"), f"{low} – {high}"),))


def _temperatures(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    minutes = taken.minutes if taken.minutes is not None else moment.minutes
    return "temperatures", {
        **taken.inputs("left", "centre", "right"),
        "minutes": plain(minutes) or "0",
    }


def _travel(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    usable = plain(moment.figure(taken.end, "usable_travel_mm"))
    return "travel", {"usable": usable, **taken.inputs("used")}


def _wear(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    """Depths of the tyre since it was fitted, with those being typed as the last."""
    tyre = moment.tyre(taken.end)
    earlier = moment.before(ReadingKind.WEAR, taken.end, taken.reading)
    since = [one for one in earlier if tyre is None or one.done_at >= tyre.fitted_at]
    inputs = {
        **{place: _depths(taken, list(reversed(since)), place) for place in WEAR_PLACES},
        "limit": "1.0",
        "resolution": "0.1",
        "new": plain(tyre.new_depth_mm) if tyre else "",
    }
    if moment.money and tyre and tyre.price_minor is not None:
        inputs["price"] = f"{tyre.price_minor / 100:.2f}"
    return "wear", inputs


def _depths(taken: Taken, since: Sequence[Reading], place: str) -> str:
    """The depths of one place, oldest first, a session index to each; empty if not read now."""
    newest = taken.inputs(place).get(place, "")
    if taken.reading:
        newest = (_canonical(taken.reading, place) or [""])[0]
    if not newest:
        return ""
    depths = [(index, mm) for index, one in enumerate(since) for mm in _canonical(one, place)]
    return "\n".join(f"{index} {mm}" for index, mm in [*depths, (len(since), newest)])


def _pace(taken: Taken, moment: Moment) -> tuple[str, Inputs]:
    """These laps against the outing the bike was settled at, else this rider's one before."""
    laps = laps_of(taken.reading) if taken.reading else taken.values["laps"][0][0]
    at = taken.reading.done_at if taken.reading else None
    now = moment.wet(moment.entry, at) if at else _wet_now(moment)
    settled = moment.settled_before(taken.reading)
    if settled is not None:
        return "pace", {
            "before": laps_as_typed(settled.laps),
            "after": laps,
            "reference": settled_words(settled),
            "layout": "yes" if _at_venue(settled.entry, moment) else "no",
            "wetness": "yes" if bool(settled.wet) == bool(now) else "no",
        }
    earlier = [
        one
        for one in moment.before(ReadingKind.LAPS, "", taken.reading)
        if one.entry is None or one.entry.rider_id == moment.entry.rider_id
    ]
    if not earlier:
        return "pace", {"before": laps}
    reference = earlier[0]
    then = moment.wet(reference.entry, reference.done_at)
    return "pace", {
        "before": laps_of(reference),
        "after": laps,
        "reference": _("the outing before; not settled yet"),
        "layout": "yes" if _at_venue(reference.entry, moment) else "no",
        "wetness": "yes" if bool(then) == bool(now) else "no",
    }


def _wet_now(moment: Moment) -> bool | None:
    day = moment.entry.trackday_id
    said = [one.wet for one in moment.conditions if one.trackday_id == day]
    return said[-1] if said else None


def _at_venue(entry: Entry | None, moment: Moment) -> bool:
    return entry is not None and entry.trackday.venue_id == moment.entry.trackday.venue_id


def _measured(reading: Reading, name: str) -> Inputs:
    for one in reading.measurements.all():
        if one.name == name:
            return {name: plain(one.value), f"{name}_unit": one.unit}
    return {}


def _canonical(reading: Reading, name: str) -> list[str]:
    return [plain(one.canonical) for one in reading.measurements.all() if one.name == name]


def _renamed(inputs: Mapping[str, str], old: str, new: str) -> Inputs:
    return {name.replace(old, new, 1): value for name, value in inputs.items()}


INPUTS: dict[ReadingKind, Callable[[Taken, Moment], tuple[str, Inputs]]] = {
    ReadingKind.SAG: _sag,
    ReadingKind.PUSH: _push,
    ReadingKind.PRESSURE: _pressure,
    ReadingKind.TYRE_TEMPERATURE: _temperatures,
    ReadingKind.TRAVEL: _travel,
    ReadingKind.WEAR: _wear,
    ReadingKind.LAPS: _pace,
}
