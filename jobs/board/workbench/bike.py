"""What the calculators are filled from: the business's ways, and one bike's numbers from its
sheet, its tyres and its last readings."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from jobs.advice.models import Settlement
from jobs.advice.selectors import settlement_of
from jobs.garage.enums import FittingKind
from jobs.garage.models import Bike, Fitting
from jobs.people.selectors import business_get, own_bands
from jobs.setups.enums import ReadingKind
from jobs.setups.models import Measurement, Reading
from jobs.trackday.clock import local
from jobs.tuning.terms import End, TyreState

from .figures import natural_hz, offset_of, sprung_kg, wheel_rate
from .inputs import House

MOST_READINGS = 60
WEAR_PLACES = ("left", "centre", "right")
Inputs = dict[str, str]


@dataclass(frozen=True)
class Known:
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


def house() -> House:
    """The business's own figures, currency and units. Two queries."""
    business = business_get()
    units = {"pressure": business.pressure_unit, "temperature": business.temperature_unit}
    return House(bands=own_bands(business), currency=business.currency, units=units)


def numbers_of_bike(bike: Bike, slug: str, end: str = "") -> Inputs:
    """What is known of the bike for one calculator, as it would be typed. Three queries."""
    filler = FILLERS.get(slug)
    if filler is None:
        return {}
    chosen = end if end in set(End) else _usual_end(slug)
    known = Known(bike, chosen, _readings(bike), _tyre(bike, chosen))
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
    if reading is None:
        return {}
    inputs: Inputs = {}
    wanted = set(names)
    for one in reading.measurements.all():
        if one.name in wanted:
            inputs |= as_typed(one, one.name)
    return inputs


def as_typed(one: Measurement, name: str) -> Inputs:
    return {name: plain(one.value), f"{name}_unit": one.unit}


def sprung(bike: Bike, end: str) -> str:
    return plain(sprung_kg(bike, end))


def _sag(known: Known) -> Inputs:
    return {
        "end": known.end,
        "travel": known.figure("usable_travel_mm"),
        "per_turn": known.figure("preload_mm_per_turn"),
        "rake": plain(known.bike.rake_deg),
        **_linkage(known),
        **measured(known.last(ReadingKind.SAG), ("hanging", "after_push", "after_lift", "free")),
    }


def _fork(known: Known) -> Inputs:
    return {
        "left": plain(known.bike.front_spring_left_n_per_mm),
        "right": plain(known.bike.front_spring_right_n_per_mm),
        "rake": plain(known.bike.rake_deg),
        "mass": sprung(known.bike, End.FRONT),
    }


def _linkage(known: Known) -> Inputs:
    return {"ratio": plain(known.bike.motion_ratio), "curve": curve_as_typed(known.bike)}


def curve_as_typed(bike: Bike) -> str:
    return "\n".join(f"{plain(z)} {plain(s)}" for z, s in bike.linkage_curve)


def _shock(known: Known) -> Inputs:
    return {
        "rate": plain(known.bike.rear_spring_n_per_mm),
        "mass": sprung(known.bike, End.REAR),
        **_linkage(known),
    }


def _needed(known: Known) -> Inputs:
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
    read = {one.name: one.canonical for one in sag.measurements.all()}
    band = read.get("after_lift", Decimal(0)) - read.get("after_push", Decimal(0))
    return plain(max(band, Decimal(0)))


def peaks_as_typed(peaks: Iterable[tuple[str, str]]) -> Inputs:
    """The first two peaks of a video: how far down, how far above rest; signs do not matter."""
    read = [(value.lstrip("-−"), unit) for value, unit in peaks if value]
    inputs: Inputs = {}
    for name, (value, unit) in zip(("drop", "overshoot"), read, strict=False):
        inputs |= {name: value, f"{name}_unit": unit}
    return inputs


def _push(known: Known) -> Inputs:
    reading = known.last(ReadingKind.PUSH)
    values = list(reading.measurements.all()) if reading else []
    peaks = [(plain(one.value), one.unit) for one in values if one.name == "peak"]
    return {
        "oil": reading.oil_state if reading else "",
        "returned": "no" if any(one.name == "stays" and one.value for one in values) else "yes",
        "natural": natural_frequency(known.bike, known.end),
        "stiction": stiction_band(known.last(ReadingKind.SAG)),
        **measured(reading, ("seconds", "swings")),
        **peaks_as_typed(peaks),
    }


def _frequency(known: Known) -> Inputs:
    rate = wheel_rate(known.bike, known.end)
    return {"rate": "" if rate is None else f"{rate:.1f}", "mass": sprung(known.bike, known.end)}


def _pressure(known: Known) -> Inputs:
    cold = known.last(ReadingKind.PRESSURE, TyreState.COLD)
    hot = known.last(ReadingKind.PRESSURE, TyreState.TRACK)
    inputs: Inputs = {"end": known.end, **maker_range(known.tyre)}
    for reading, name in ((cold, "cold"), (hot, "hot")):
        for one in reading.measurements.all() if reading else ():
            inputs |= as_typed(one, name)
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


def _temperatures(known: Known) -> Inputs:
    reading = known.last(ReadingKind.TYRE_TEMPERATURE)
    inputs = measured(reading, ("left", "centre", "right"))
    return {**inputs, "minutes": plain(reading.minutes_since_stop) if reading else ""}


def wear_depths(known: Known, place: str) -> str:
    """Depths of one place of the tyre that is on, oldest first, a session index to each."""
    since = known.tyre.fitted_at if known.tyre else None
    readings = [
        reading
        for reading in reversed(known.readings)
        if reading.kind == ReadingKind.WEAR and reading.end == known.end
        if since is None or reading.done_at >= since
    ]
    return "\n".join(
        f"{index} {plain(one.canonical)}"
        for index, reading in enumerate(readings)
        for one in reading.measurements.all()
        if one.name == place
    )


def _wear(known: Known) -> Inputs:
    tyre = known.tyre
    price = tyre.price_minor if tyre else None
    return {
        **{place: wear_depths(known, place) for place in WEAR_PLACES},
        "new": plain(tyre.new_depth_mm) if tyre else "",
        "price": "" if price is None else f"{price / 100:.2f}",
    }


def _geometry(known: Known) -> Inputs:
    bike = known.bike
    return {
        "rake": plain(bike.rake_deg),
        "offset": plain(offset_of(bike)),
        "wheelbase": plain(bike.wheelbase_mm),
        "front_radius": plain(bike.front_wheel_radius_mm),
        "rear_radius": plain(bike.rear_wheel_radius_mm),
    }


def _travel(known: Known) -> Inputs:
    return {
        "usable": known.figure("usable_travel_mm"),
        **measured(known.last(ReadingKind.TRAVEL), ("used",)),
    }


def _braking(known: Known) -> Inputs:
    bike = known.bike
    legs = (bike.front_spring_left_n_per_mm, bike.front_spring_right_n_per_mm)
    return {
        "unsprung": plain(bike.front_unsprung_kg),
        "wheelbase": plain(bike.wheelbase_mm),
        "rake": plain(known.bike.rake_deg),
        "pair": plain(sum(legs)) if all(legs) else "",
    }


def laps_of(reading: Reading) -> str:
    return laps_as_typed(one.canonical for one in reading.measurements.all())


def laps_as_typed(laps: Iterable[Decimal | float]) -> str:
    return "\n".join(plain(lap) for lap in laps)


def settled_words(row: Settlement) -> str:
    """Which outing a bike was settled at."""
    day = row.entry.trackday if row.entry else None
    at = date_format(local(day, row.done_at) if day else row.done_at, "j M Y")
    if row.session is None:
        return _("settled %(at)s") % {"at": at}
    return _("settled %(at)s, session %(n)d") % {"at": at, "n": row.session.number}


def _pace(known: Known) -> Inputs:
    """The newest outing against the one it was settled at, else against the one before."""
    outings = [one for one in known.readings if one.kind == ReadingKind.LAPS]
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


FILLERS: dict[str, Callable[[Known], Inputs]] = {
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
    "pace": _pace,
}
