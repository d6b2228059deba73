"""The catalogue's own words as a tuner says them, for choices and headings."""

from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from jobs.garage.enums import End, Function, Unit
from jobs.garage.words import at_end
from jobs.tuning.knowledge import FAMILIES, UNITS, CauseKind, ChangeDirection, Quantity, StopAction

KINDS = {
    CauseKind.DAMPING: _("damping"),
    CauseKind.SPRING: _("spring"),
    CauseKind.PRESSURE: _("pressure"),
    CauseKind.TEMPERATURE: _("temperature"),
    CauseKind.GEOMETRY: _("geometry"),
    CauseKind.TECHNIQUE: _("riding"),
    CauseKind.TYRE: _("tyre"),
    CauseKind.MECHANICAL: _("mechanical"),
    CauseKind.TRACK: _("track"),
    CauseKind.USE: _("use"),
    CauseKind.PACE: _("pace"),
    CauseKind.EVENT: _("one event"),
    CauseKind.METHOD: _("how it was done"),
    CauseKind.LIMIT: _("a limit"),
}
DIRECTIONS = {
    ChangeDirection.FIRMER: _("firmer"),
    ChangeDirection.SOFTER: _("softer"),
    ChangeDirection.MORE: _("more"),
    ChangeDirection.LESS: _("less"),
}
QUANTITIES = {
    Quantity.PUSH_SECONDS: _("seconds to come up"),
    Quantity.PUSH_SWINGS: _("swings"),
    Quantity.TRAVEL_USED: _("travel used"),
    Quantity.RIDER_SAG: _("rider sag"),
    Quantity.PRESSURE_RISE: _("pressure rise"),
    Quantity.TRAIL: _("trail"),
}
ACTIONS = {
    StopAction.HOLD: _("hold the bike"),
    StopAction.SERVICE: _("it needs a service"),
}
FACTS = {
    "push": _("Push test, hot oil"),
    "cold_push": _("Push test, cold oil"),
    "rise": _("Pressure rise"),
    "pressure": _("Tyre pressure, by the maker's range"),
    "surface": _("Tyre surface, hot, against the usual"),
    "sides": _("Tyre surface, left against right"),
    "centre": _("Tyre surface, centre against the sides"),
    "sag": _("Sag with the rider"),
    "free_sag": _("Free sag"),
    "stiction": _("Stiction (the two sag readings apart)"),
    "travel": _("Travel used"),
    "rebound": _("Rebound stands"),
    "compression": _("Compression stands"),
    "preload": _("Preload today"),
    "tyre": _("Tyre model"),
    "oil": _("Oil"),
    "laps": _("Laps ridden"),
    "fade": _("The last laps got slower"),
    "pace": _("Pace, against the reference"),
    "pace_gain": _("Faster, against the reference"),
    "earlier_day": _("Here on an earlier day"),
    "weather": _("Weather"),
    "track": _("Track temperature, against the reference"),
    "also": _("Also seen on the bike today"),
}
_PUSH = {
    "no_return": _("stays down"),
    "very_slow": _("very slow"),
    "slow": _("slow"),
    "normal": _("about a second"),
    "fast": _("one overshoot"),
    "bouncing": _("keeps bouncing"),
}
_CLICKER = {"closed": _("nearly closed"), "mid": _("mid"), "open": _("nearly open")}
STATES = {
    "push": _PUSH,
    "cold_push": _PUSH,
    "rise": {"small": _("small"), "normal": _("normal"), "large": _("large")},
    "pressure": {"low": _("too low"), "right": _("inside"), "high": _("too high")},
    "surface": {"low": _("cool"), "right": _("as usual"), "high": _("very hot")},
    "sides": {"alike": _("alike"), "apart": _("far apart")},
    "centre": {"alike": _("alike"), "apart": _("far apart")},
    "sag": {"small": _("too little"), "right": _("in range"), "large": _("too much")},
    "free_sag": {"none": _("none"), "right": _("in range"), "large": _("too much")},
    "stiction": {"low": _("little"), "some": _("some"), "high": _("much")},
    "travel": {
        "short": _("little"),
        "right": _("within its band"),
        "far": _("nearly all"),
        "end": _("to the end mark"),
    },
    "rebound": _CLICKER,
    "compression": _CLICKER,
    "preload": {"raised": _("raised"), "same": _("not touched"), "reduced": _("reduced")},
    "tyre": {"new": _("another than before"), "same": _("the same as before")},
    "oil": {"cold": _("cold"), "warm": _("warm"), "hot": _("hot")},
    "laps": {"few": _("few"), "enough": _("enough")},
    "fade": {"yes": _("yes"), "no": _("no")},
    "pace": {"faster": _("faster"), "like": _("alike"), "slower": _("slower")},
    "pace_gain": {"small": _("little"), "large": _("by what reopens a setup")},
    "earlier_day": {"yes": _("yes"), "no": _("no")},
    "weather": {"wet": _("wet"), "dry": _("dry")},
    "track": {"hotter": _("hotter"), "like": _("alike"), "colder": _("colder")},
}
PARTS = {"suspects": _("Suspect"), "steps": _("Step"), "stops": _("Stop")}
NEW = {"suspects": _("New suspect"), "steps": _("New step"), "stops": _("New stop")}
CONDITIONS = {
    ("suspects", "when"): _("What speaks for it: any one of these"),
    ("suspects", "unless"): _("What speaks against it: any one of these"),
    ("steps", "when"): _("Only when"),
    ("steps", "unless"): _("Never when: any one of these"),
    ("stops", "when"): _("Readings that show it by themselves"),
}


def families() -> list[tuple[str, str]]:
    return [(name, capfirst(str(words))) for name, words in FAMILIES.items()]


def places() -> list[tuple[str, str]]:
    """Every adjuster a bike can have, as the open form names it."""
    return [
        (f"{end} {function}", at_end(end.label, function.label))
        for end in End
        for function in Function
    ]


def expectations() -> list[tuple[str, str]]:
    """What can be read again next time, going up or down."""
    return [
        (f"{quantity} {sign}", f"{words}: {way}")
        for quantity, words in QUANTITIES.items()
        for sign, way in (("+", _("more")), ("-", _("less")))
    ]


def units() -> list[tuple[str, str]]:
    return [(unit, str(Unit(unit).label)) for unit in UNITS]


def step_said(step: dict[str, Any]) -> str:
    """A step in the fewest words, however little of it is filled in yet."""
    function, direction = step.get("function", ""), step.get("direction", "")
    sizes = [str(size) for size in step.get("size", []) if size]
    words = [
        End(step["end"]).label if step.get("end") in End.values else "",
        Function(function).label if function in Function.values else "",
        DIRECTIONS[ChangeDirection(direction)] if direction in set(ChangeDirection) else "",
        _share(step.get("share", "")),
        _size("–".join(dict.fromkeys(sizes)), step.get("unit", "")) if sizes else "",
    ]
    return capfirst(" ".join(str(word) for word in words if word))


def _share(share: Any) -> str:
    return _("%(n)s %% of its range,") % {"n": share} if share else ""


def _size(size: str, unit: str) -> str:
    many = 1 if size == "1" else 2
    if unit == Unit.CLICK:
        return ngettext("%(n)s click", "%(n)s clicks", many) % {"n": size}
    if unit == Unit.TURN:
        return ngettext("%(n)s turn", "%(n)s turns", many) % {"n": size}
    return f"{size} {unit}"
