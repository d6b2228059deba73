"""The catalogue's shape: findings with their suspects, steps and stop conditions."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from ..terms import AdjusterFunction, End, Phase
from ..words import _
from .conditions import Condition

# Where a finding is met, in the order the families are shown; each is a data file of its own.
FAMILIES = {
    "tyre_wear": _("what the tyre shows"),
    "push_test": _("what the push test shows"),
    "rider": _("what the rider says"),
    "travel": _("what the travel ring shows"),
}


class Kind(StrEnum):
    """What sort of cause a suspect is; some are of two kinds."""

    DAMPING = "damping"
    SPRING = "spring"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    GEOMETRY = "geometry"
    TECHNIQUE = "technique"
    TYRE = "tyre"
    MECHANICAL = "mechanical"
    TRACK = "track"
    USE = "use"
    PACE = "pace"
    EVENT = "event"
    METHOD = "method"
    LIMIT = "limit"


class Direction(StrEnum):
    """Which way a step goes: firmer or softer, or for a measured figure more or less."""

    FIRMER = "firmer"
    SOFTER = "softer"
    MORE = "more"
    LESS = "less"

    @property
    def opposite(self) -> "Direction":
        return OPPOSITE[self]


OPPOSITE = {
    Direction.FIRMER: Direction.SOFTER,
    Direction.SOFTER: Direction.FIRMER,
    Direction.MORE: Direction.LESS,
    Direction.LESS: Direction.MORE,
}
# Functions whose figure is a length or a pressure: "firmer" would mean nothing there.
MEASURED = frozenset(
    {
        AdjusterFunction.TUBE_HEIGHT,
        AdjusterFunction.SHOCK_LENGTH,
        AdjusterFunction.TYRE_PRESSURE,
        AdjusterFunction.OIL_LEVEL,
    }
)


class Quantity(StrEnum):
    """What should move, and can be read again after the next outing."""

    PUSH_SECONDS = "push_seconds"
    PUSH_SWINGS = "push_swings"
    TRAVEL_USED = "travel_used"
    RIDER_SAG = "rider_sag"
    PRESSURE_RISE = "pressure_rise"
    TRAIL = "trail"


class StopAction(StrEnum):
    HOLD = "hold"
    SERVICE = "service"


@dataclass(frozen=True)
class Sign:
    """A quantity that should grow (+1) or shrink (-1)."""

    quantity: Quantity
    sign: int


@dataclass(frozen=True)
class Suspect:
    """One possible cause, ``order`` 1 the likeliest.

    ``ask`` is a question whose yes supports it; ``check`` what to look at by hand; ``say``
    words for the rider; ``do`` a remedy that is no adjuster. ``word_first``: no change for
    this finding until the question was answered with no.
    """

    order: int
    text: str
    kinds: tuple[Kind, ...]
    when: tuple[Condition, ...] = ()
    unless: tuple[Condition, ...] = ()
    ask: str = ""
    check: str = ""
    say: str = ""
    do: str = ""
    word_first: bool = False

    @property
    def mechanical(self) -> bool:
        return Kind.MECHANICAL in self.kinds

    @property
    def technique(self) -> bool:
        return Kind.TECHNIQUE in self.kinds


@dataclass(frozen=True)
class Step:
    """One change: which adjuster, which way, how far (``low..high`` in ``unit``).

    ``end`` None: the end the finding was seen on. ``after``: orders of suspects to be ruled
    out first. ``instead_of``: only where all of these are proven or cannot be set.
    """

    suspect: int
    function: AdjusterFunction
    direction: Direction
    low: Decimal
    high: Decimal
    unit: str
    when: Condition | None = None
    unless: tuple[Condition, ...] = ()
    end: End | None = None
    after: tuple[int, ...] = ()
    instead_of: tuple[tuple[End, AdjusterFunction], ...] = ()
    expect: tuple[Sign, ...] = ()


@dataclass(frozen=True)
class Stop:
    """A stop condition: seen by a person, or by ``when`` from what was read."""

    text: str
    action: StopAction
    when: Condition | None = None


@dataclass(frozen=True)
class Finding:
    """One row of the catalogue. ``own``: written or amended by the business."""

    code: str
    family: str
    title: str
    ends: tuple[End, ...]  # empty: the whole bike
    phases: tuple[Phase, ...]
    see: str
    check: str
    step: str
    next: str
    worse: str
    stop: str
    sources: tuple[str, ...]  # empty: common practice, no source
    source_note: str
    disagreement: str = ""
    suspects: tuple[Suspect, ...] = ()
    steps: tuple[Step, ...] = ()
    stops: tuple[Stop, ...] = ()
    own: bool = False

    def suspect(self, order: int) -> Suspect:
        return self.suspects[order - 1]

    def end_of(self, logged: End | None) -> End | None:
        """The end to read it on: as logged, else the only one it can be."""
        return logged or (self.ends[0] if len(self.ends) == 1 else None)


@dataclass(frozen=True)
class Good:
    """What is right, logged like a finding: somebody looked, or asked.

    ``pace``: the rider's word on it, against the outing before: faster, like or slower.
    """

    code: str
    title: str
    ends: tuple[End, ...]
    see: str
    pace: str = ""


@dataclass(frozen=True)
class Catalogue:
    findings: Mapping[str, Finding]
    sources: Mapping[str, str]
    good: Mapping[str, Good] = field(default_factory=dict)

    def title(self, code: str) -> str:
        """What a finding, or something good, is called; empty for a code it does not have."""
        row = self.findings.get(code) or self.good.get(code)
        return row.title if row else ""
