"""The kinds of reading: the one table that every form, page, file and schema reads.

A new kind is one entry here. Code that treats one kind in a way of its own names it
(``TYRE_PRESSURE.name``) in the room that knows why; everything else asks the table.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End, TravelPlace, TyreState
from jobs.tuning.pace import LONGEST_S, SHORTEST_S
from jobs.tuning.travel import PLACES

from .lap_times import laps_in_words
from .measures import (
    COUNT,
    LENGTH,
    PRESSURE,
    TEMPERATURE,
    TIME,
    Measure,
    Number,
    Range,
    Switch,
    Words,
    between,
)
from .sag_words import sag_in_words

BOTH_ENDS = (End.FRONT, End.REAR)


@dataclass(frozen=True)
class ReadingKind:
    """One kind of reading, by the ``name`` under which the book keeps it.

    ``ends``: where on the bike it can be read; empty where it belongs to no end.
    ``tyre_states``: asked for with it on the bike sheet; ``checklist_tyre_states``: a task
    of a checklist says which one; ``usual_tyre_state``: taken where a task says none.
    ``places``: by end, where on it the reading may be taken; its number means nothing without
    the place. Where an end has one only, a reading of it was taken there.
    ``groups``: the words of each group of switches.
    ``sets_rebound``: rebound is set by it on hot oil; on any other it says why not.
    ``as_lap_times``: entered as lap times pasted as text, never as a task of a checklist.
    ``summary``: says all its numbers, in the canonical unit, as one.
    ``caution``: shown where it is entered. ``target``: asks for a further number of the
    same quantity, for the calculator alone; nothing keeps it.
    ``in_table``: how a table says all its numbers, by name in the canonical unit.
    ``calculator``: the name of the calculator that says what it comes to. What the
    calculator is given is registered in ``jobs.calculators``; without it nothing is said.
    """

    name: str
    label: Words
    measures: tuple[Measure, ...]
    ends: tuple[End, ...] = BOTH_ENDS
    tyre_states: tuple[TyreState, ...] = ()
    checklist_tyre_states: tuple[TyreState, ...] = ()
    usual_tyre_state: str = ""
    places: Mapping[str, tuple[TravelPlace, ...]] = field(default_factory=dict)
    sets_rebound: bool = False
    as_lap_times: bool = False
    summary: Callable[[Sequence[Decimal]], str] | None = None
    caution: Words = ""
    target: Words = ""
    calculator: str = ""
    in_table: Callable[[Mapping[str, Decimal]], str] | None = None
    groups: Mapping[str, Words] = field(default_factory=dict)

    @property
    def numbers(self) -> tuple[Number, ...]:
        return tuple(one for one in self.measures if isinstance(one, Number))

    def only_place(self, end: str) -> str:
        """Where a reading of this end was taken, if it can have been in one place only."""
        places = self.places.get(end, ())
        return places[0].value if len(places) == 1 else ""

    def places_to_choose(self, end: str) -> tuple[TravelPlace, ...]:
        """The places of an end that has more than one."""
        places = self.places.get(end, ())
        return places if len(places) > 1 else ()

    def measure(self, name: str) -> Measure | None:
        return next((one for one in self.measures if one.name == name), None)


def _across_the_tread(quantity: str, plausible: Range, possible: Range) -> tuple[Number, ...]:
    places = {"left": _("left"), "centre": _("centre"), "right": _("right")}
    return tuple(
        Number(name, words, quantity, plausible, possible, needed=False)
        for name, words in places.items()
    )


def _length(
    name: str,
    words: Words,
    low: float,
    needed: bool = True,
    not_below: tuple[str, ...] = (),
    head: Words = "",
) -> Number:
    """A length between the axle and a mark above it, as sag is read."""
    possible = between(0, 2000)
    plausible = between(low, 800)
    return Number(name, words, LENGTH, plausible, possible, needed, not_below=not_below, head=head)


def _comes_up(name: str, tap: Words, words: Words) -> Switch:
    """How an end comes up when it is pushed down and let go, in a tuner's word."""
    return Switch(name, words, _("comes up otherwise"), in_table=True, group="comes_up", tap=tap)


TYRE_PRESSURE = ReadingKind(
    "pressure",
    _("tyre pressure"),
    (Number("pressure", _("pressure"), PRESSURE, between(100, 350), between(0, 1000)),),
    tyre_states=tuple(TyreState),
    checklist_tyre_states=tuple(TyreState),
    usual_tyre_state=TyreState.TRACK,
    target=_("target hot, to work out what to set cold; not written"),
    calculator="pressure",
)

TYRE_TEMPERATURE = ReadingKind(
    "tyre_temperature",
    _("tyre temperatures"),
    _across_the_tread(TEMPERATURE, between(0, 130), between(-60, 300)),
    tyre_states=tuple(TyreState),
    calculator="temperatures",
)

SAG = ReadingKind(
    "sag",
    _("sag"),
    (
        _length("hanging", _("wheel hanging"), 60, not_below=("after_push", "after_lift", "free")),
        _length("after_push", _("settled after a push down"), 40, head=_("after a push")),
        _length(
            "after_lift",
            _("settled after a lift"),
            40,
            not_below=("after_push",),
            head=_("after a lift"),
        ),
        _length("free", _("without the rider"), 40, needed=False),
    ),
    calculator="sag",
    in_table=sag_in_words,
)

PUSH_TEST = ReadingKind(
    "push",
    _("push test"),
    (
        Number(
            "seconds",
            _("seconds to return"),
            TIME,
            between(0.2, 15),
            between(0, 60),
            needed=False,
            short=_("%(n)s s"),
            further=True,
        ),
        Number(
            "swings",
            _("passes over the rest height"),
            COUNT,
            between(0, 8),
            between(0, 50),
            needed=False,
            short=_("%(n)s passes"),
            taps=(("0", "0"), ("1", "1"), ("2", "2"), ("3", _("3 or more"))),
        ),
        Number(
            "peak",
            _("peak, from rest"),
            LENGTH,
            between(-60, 120),
            between(-500, 500),
            needed=False,
            repeated=True,
            short=_("%(n)s mm"),
            further=True,
        ),
        Switch("brake", _("front brake held"), _("brake off"), on_round=False),
        _comes_up("stays", _("not at all"), _("stays down")),
        _comes_up("hesitates", _("hesitates"), _("hesitates on its way up")),
        _comes_up("slow", _("slow"), _("comes up slowly")),
        _comes_up("right", _("right"), _("comes up right")),
        _comes_up("quick", _("quick"), _("comes up quickly")),
        _comes_up("kicks", _("kicks past"), _("kicks past the rest height")),
    ),
    sets_rebound=True,
    groups={"comes_up": _("how it comes up")},
    calculator="push",
)

TRAVEL = ReadingKind(
    "travel",
    _("travel used"),
    (
        Number("used", _("travel used"), LENGTH, between(10, 160), between(0, 500)),
        Switch("reset", _("ring put back"), _("ring not put back"), on_round=False),
    ),
    places={end.value: tuple(map(TravelPlace, places)) for end, places in PLACES.items()},
    calculator="travel",
)

WEAR = ReadingKind(
    "wear",
    _("wear depth"),
    _across_the_tread(LENGTH, between(0, 9), between(0, 30)),
    calculator="wear",
)

_HOLD_FOR_PLAY = _("Any play or notch in the steering head: hold the bike.")

HEAD_PLAY = ReadingKind(
    "head_play",
    _("steering head play"),
    (
        Number(
            "play",
            _("play at the axle"),
            LENGTH,
            between(0, 0),
            between(0, 50),
            needed=False,
            step="0.1",
            warning=_HOLD_FOR_PLAY,
        ),
        Switch("notch", _("notch felt"), _("no notch"), in_table=True, warning=_HOLD_FOR_PLAY),
    ),
    ends=(),
    caution=_(
        "Level ground, front wheel clear of it, a second person: a stand can let the bike fall. "
        "Any play or notch: hold the bike."
    ),
)

LAP_TIMES = ReadingKind(
    "laps",
    _("lap times"),
    (
        Number(
            "lap",
            _("lap"),
            TIME,
            between(20, 600),
            between(SHORTEST_S, LONGEST_S),
            repeated=True,
        ),
    ),
    ends=(),
    as_lap_times=True,
    summary=laps_in_words,
    calculator="pace",
)

READING_KINDS: dict[str, ReadingKind] = {
    kind.name: kind
    for kind in (
        TYRE_PRESSURE,
        TYRE_TEMPERATURE,
        SAG,
        PUSH_TEST,
        TRAVEL,
        WEAR,
        HEAD_PLAY,
        LAP_TIMES,
    )
}


def reading_kind(name: str) -> ReadingKind:
    """The kind of this name. One that the table no longer has measures nothing known."""
    return READING_KINDS.get(name) or ReadingKind(name, name, ())


def reading_kind_choices() -> list[tuple[str, Words]]:
    return [(kind.name, kind.label) for kind in READING_KINDS.values()]


def swapped_words(kind: str, name: str, other: str) -> str:
    """What is said where a number is below one it cannot be below."""
    words = {one.name: str(one.words) for one in reading_kind(kind).numbers}
    return gettext("“%(name)s” is below “%(other)s”: are the two readings swapped?") % {
        "name": words[name],
        "other": words[other],
    }
