"""Inputs of the calculators from one bike: its figures, tyres and last readings."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from jobs.advice.models import Settlement
from jobs.advice.selectors import moved_the_ring_at, settlement_of
from jobs.advice.selectors.observations import sags
from jobs.garage.enums import FittingKind
from jobs.garage.models import Bike, Fitting
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import (
    LAP_TIMES,
    PUSH_TEST,
    SAG,
    TRAVEL,
    TYRE_PRESSURE,
    TYRE_TEMPERATURE,
    WEAR,
)
from jobs.trackday.clock import local
from jobs.tuning.damping import COMES_UP
from jobs.tuning.terms import End, TravelPlace, TyreState

from .figures import natural_hz, offset_of, sprung_kg, wheel_rate

MOST_READINGS = 60
WEAR_PLACES = tuple(one.name for one in WEAR.numbers)
Inputs = dict[str, str]


@dataclass(frozen=True)
class KnownOfBike:
    """What the calculators may be filled from; ``readings`` newest first."""

    bike: Bike
    end: str
    readings: tuple[Reading, ...]
    tyre: Fitting | None

    def figure(self, name: str) -> str:
        """A figure of this end: ``usable_travel_mm`` is ``front_usable_travel_mm`` there."""
        return plain(getattr(self.bike, f"{self.end}_{name}", None))

    def last(self, kind: str, state: str = "") -> Reading | None:
        found = (
            one
            for one in self.readings
            if one.kind == kind and one.end == self.end and (not state or one.tyre_state == state)
        )
        return next(found, None)


def numbers_of_bike(bike: Bike, slug: str, end: str = "") -> Inputs:
    """What is known of the bike for one calculator, as it would be typed. Four queries at most."""
    filler = FILLERS.get(slug)
    if filler is None:
        return {}
    chosen = end if end in set(End) else _usual_end(slug)
    known = KnownOfBike(bike, chosen, _readings(bike), _tyre(bike, chosen))
    return {name: value for name, value in filler(known).items() if value}


def _usual_end(slug: str) -> str:
    return End.REAR if slug in {"pressure", "wear", "temperatures", "shock-rate"} else End.FRONT


def _readings(bike: Bike) -> tuple[Reading, ...]:
    rows = bike.readings.filter(withdrawn_at=None).prefetch_related("measurements")
    return tuple(
        rows.select_related("session__trackday__venue").order_by("-accepted_at")[:MOST_READINGS]
    )


def _tyre(bike: Bike, end: str) -> Fitting | None:
    return bike.fittings.filter(kind=FittingKind.TYRE, end=end, removed_at=None).first()


def plain(value: Decimal | float | None) -> str:
    """A figure as people type it: 12, 0.5."""
    return "" if value is None else f"{float(value):g}"


def measured(reading: Reading | None, names: Iterable[str]) -> Inputs:
    """The measurements of a reading as inputs of the same names, in the units as entered."""
    inputs: Inputs = {}
    for name in names:
        inputs |= as_typed(reading, name, name)
    return inputs


def as_typed(reading: Reading | None, name: str, as_name: str) -> Inputs:
    """One number of a reading as the input ``as_name``, in the unit as entered."""
    inputs: Inputs = {}
    for value, unit in reading.entered(name) if reading else ():
        inputs |= {as_name: plain(value), f"{as_name}_unit": unit}
    return inputs


def sprung(bike: Bike, end: str) -> str:
    return plain(sprung_kg(bike, end))


def _sag(known: KnownOfBike) -> Inputs:
    return {
        "end": known.end,
        "travel": known.figure("usable_travel_mm"),
        "per_turn": known.figure("preload_mm_per_turn"),
        "rake": plain(known.bike.rake_deg),
        **_linkage(known),
        **measured(known.last(SAG.name), ("hanging", "after_push", "after_lift", "free")),
    }


def _fork(known: KnownOfBike) -> Inputs:
    return {
        "left": plain(known.bike.front_spring_left_n_per_mm),
        "right": plain(known.bike.front_spring_right_n_per_mm),
        "rake": plain(known.bike.rake_deg),
        "mass": sprung(known.bike, End.FRONT),
    }


def _linkage(known: KnownOfBike) -> Inputs:
    return {"ratio": plain(known.bike.motion_ratio), "curve": curve_as_typed(known.bike)}


def curve_as_typed(bike: Bike) -> str:
    return "\n".join(f"{plain(z)} {plain(s)}" for z, s in bike.linkage_curve)


def _shock(known: KnownOfBike) -> Inputs:
    return {
        "rate": plain(known.bike.rear_spring_n_per_mm),
        "mass": sprung(known.bike, End.REAR),
        **_linkage(known),
    }


def _needed(known: KnownOfBike) -> Inputs:
    return {
        "end": known.end,
        "bike_mass": sprung(known.bike, known.end),
        "rake": plain(known.bike.rake_deg),
        **_linkage(known),
    }


def natural_frequency(bike: Bike, end: str) -> str:
    """Of one end, the bike alone on its spring, from its own figures; empty where unknown."""
    hertz = natural_hz(bike, end)
    return "" if hertz is None else f"{hertz:.2f}"


def stiction_band(sag: Reading | None) -> str:
    """After a lift less after a push, mm: what sticks at that end; empty where nobody read it."""
    if sag is None:
        return ""
    lift, push = (sum(sag.canonical(name)) for name in ("after_lift", "after_push"))
    return plain(max(lift - push, 0))


def peaks_as_typed(peaks: Iterable[tuple[str, str]]) -> Inputs:
    """The first two peaks of a video: how far down, how far above rest; signs do not matter."""
    read = [(value.lstrip("-−"), unit) for value, unit in peaks if value]
    inputs: Inputs = {}
    for name, (value, unit) in zip(("drop", "overshoot"), read, strict=False):
        inputs |= {name: value, f"{name}_unit": unit}
    return inputs


def _push(known: KnownOfBike) -> Inputs:
    reading = known.last(PUSH_TEST.name)
    peaks = [(plain(value), unit) for value, unit in reading.entered("peak")] if reading else []
    return {
        "oil": reading.oil_state if reading else "",
        "end": known.end,
        "comes_up": next(filter(reading.switched, COMES_UP), "") if reading else "",
        "natural": natural_frequency(known.bike, known.end),
        "stiction": stiction_band(known.last(SAG.name)),
        **measured(reading, ("seconds", "swings")),
        **peaks_as_typed(peaks),
    }


def _frequency(known: KnownOfBike) -> Inputs:
    rate = wheel_rate(known.bike, known.end)
    return {"rate": "" if rate is None else f"{rate:.1f}", "mass": sprung(known.bike, known.end)}


def _pressure(known: KnownOfBike) -> Inputs:
    cold = known.last(TYRE_PRESSURE.name, TyreState.COLD)
    hot = known.last(TYRE_PRESSURE.name, TyreState.TRACK)
    inputs: Inputs = {"end": known.end, **maker_range(known.tyre)}
    for reading, name in ((cold, "cold"), (hot, "hot")):
        inputs |= as_typed(reading, "pressure", name)
    if hot:
        inputs |= {"minutes": plain(hot.minutes_since_stop)}
        if hot.session:
            inputs |= {"altitude": plain(hot.session.trackday.venue.altitude_m)}
    return inputs


def maker_range(tyre: Fitting | None) -> Inputs:
    """The maker's ranges of the tyre that is on, in kPa."""
    ranges = tyre.maker_range_kpa if tyre else {}
    inputs: Inputs = {}
    for state, name in ((TyreState.COLD, "cold"), (TyreState.TRACK, "hot")):
        if ends := ranges.get(state.value):
            for end, value in zip(("low", "high"), ends, strict=False):
                inputs |= {f"{name}_{end}": plain(value), f"{name}_{end}_unit": "kPa"}
    return inputs


def _temperatures(known: KnownOfBike) -> Inputs:
    reading = known.last(TYRE_TEMPERATURE.name)
    inputs = measured(reading, ("left", "centre", "right"))
    return {**inputs, "minutes": plain(reading.minutes_since_stop) if reading else ""}


def wear_depths(known: KnownOfBike, place: str) -> str:
    """Depths of one place of the tyre that is on, oldest first, a session index to each."""
    since = known.tyre.fitted_at if known.tyre else None
    readings = [
        reading
        for reading in reversed(known.readings)
        if reading.kind == WEAR.name and reading.end == known.end
        if since is None or reading.done_at >= since
    ]
    return "\n".join(
        f"{index} {plain(depth)}"
        for index, reading in enumerate(readings)
        for depth in reading.canonical(place)
    )


def _wear(known: KnownOfBike) -> Inputs:
    tyre = known.tyre
    price = tyre.price_minor if tyre else None
    return {
        **{place: wear_depths(known, place) for place in WEAR_PLACES},
        "new": plain(tyre.new_depth_mm) if tyre else "",
        "price": "" if price is None else f"{price / 100:.2f}",
    }


def _geometry(known: KnownOfBike) -> Inputs:
    bike = known.bike
    return {
        "rake": plain(bike.rake_deg),
        "offset": plain(offset_of(bike)),
        "wheelbase": plain(bike.wheelbase_mm),
        "front_radius": plain(bike.front_wheel_radius_mm),
        "rear_radius": plain(bike.rear_wheel_radius_mm),
    }


def _travel(known: KnownOfBike) -> Inputs:
    last = known.last(TRAVEL.name)
    return {
        "place": last.place if last else "",
        **travel_figures_as_typed(known.bike, known.end),
        **measured(last, ("used",)),
    }


def travel_figures_as_typed(bike: Bike, end: str) -> Inputs:
    """What the travel calculator is given of one end of a bike."""
    inputs = {
        "usable": plain(getattr(bike, f"{end}_usable_travel_mm")),
        "mark": plain(getattr(bike, f"{end}_end_mark_mm")),
    }
    if end == End.REAR:
        inputs |= {"stroke": plain(bike.rear_shaft_stroke_mm), "ratio": plain(bike.motion_ratio)}
        inputs["curve"] = curve_as_typed(bike)
    return inputs


def _braking(known: KnownOfBike) -> Inputs:
    bike = known.bike
    left, right = bike.front_spring_left_n_per_mm, bike.front_spring_right_n_per_mm
    return {
        "unsprung": plain(bike.front_unsprung_kg),
        "wheelbase": plain(bike.wheelbase_mm),
        "rake": plain(known.bike.rake_deg),
        "pair": plain(left + right) if left and right else "",
        "usable": plain(bike.front_usable_travel_mm),
    }


def _ring(known: KnownOfBike) -> Inputs:
    """The rings of the newest entry since its springs were last changed, and the springs."""
    since = moved_the_ring_at(known.bike, known.end)
    bike, front = known.bike, known.end == End.FRONT
    place = TravelPlace.FORK_LEG if front else TravelPlace.SHOCK_SHAFT
    rings = [
        one
        for one in reversed(known.readings)
        if one.kind == TRAVEL.name and one.end == known.end and one.place == place and one.entry_id
        if since is None or one.accepted_at > since
    ]
    left, right = bike.front_spring_left_n_per_mm, bike.front_spring_right_n_per_mm
    fork = (left + right) / 2 if left and right else None
    inputs = {
        "end": known.end,
        "rings": "\n".join(
            plain(used)
            for one in rings
            if one.entry_id == rings[-1].entry_id
            for used in one.canonical("used")
        ),
        "usable": plain(bike.front_usable_travel_mm if front else bike.rear_shaft_stroke_mm),
        "rate": plain(fork if front else bike.rear_spring_n_per_mm),
        "sag": _rider_sag(known),
    }
    return inputs if front else {**inputs, **_linkage(known)}


def _rider_sag(known: KnownOfBike) -> str:
    read = sags([one for one in [known.last(SAG.name)] if one])
    return plain(read[0].rider_mm) if read else ""


def laps_of(reading: Reading) -> str:
    return laps_as_typed(reading.canonical("lap"))


def laps_as_typed(laps: Iterable[Decimal | float]) -> str:
    return "\n".join(plain(lap) for lap in laps)


def settled_words(row: Settlement) -> str:
    """Which outing a bike was settled at."""
    day = row.entry.trackday if row.entry else None
    at = date_format(local(day, row.done_at) if day else row.done_at, "j M Y")
    if row.session is None:
        return _("settled %(at)s") % {"at": at}
    return _("settled %(at)s, session %(n)d") % {"at": at, "n": row.session.number}


def _pace(known: KnownOfBike) -> Inputs:
    """The newest outing against the one it was settled at, else against the one before."""
    outings = [one for one in known.readings if one.kind == LAP_TIMES.name]
    if not outings:
        return {}
    settled = settlement_of(known.bike)
    if settled and settled.laps and outings[0].session_id != settled.session_id:
        return {
            "before": laps_as_typed(settled.laps),
            "after": laps_of(outings[0]),
            "reference": settled_words(settled),
        }
    if len(outings) == 1:
        return {"before": laps_of(outings[0])}
    return {"before": laps_of(outings[1]), "after": laps_of(outings[0])}


FILLERS: dict[str, Callable[[KnownOfBike], Inputs]] = {
    "sag": _sag,
    "fork-rate": _fork,
    "shock-rate": _shock,
    "spring-needed": _needed,
    "push": _push,
    "pressure": _pressure,
    "temperatures": _temperatures,
    "wear": _wear,
    "geometry": _geometry,
    "travel": _travel,
    "braking": _braking,
    "frequency": _frequency,
    "ring": _ring,
    "pace": _pace,
}
