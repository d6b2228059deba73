"""The catalogue: findings with their suspects, steps and stop conditions."""

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


class CauseKind(StrEnum):
    """The kind of cause that a suspect is. Some are of two kinds."""

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


class ChangeDirection(StrEnum):
    """The direction of a step: firmer or softer, or for a length or a pressure more or less."""

    FIRMER = "firmer"
    SOFTER = "softer"
    MORE = "more"
    LESS = "less"

    @property
    def opposite(self) -> "ChangeDirection":
        return OPPOSITE[self]


OPPOSITE = {
    ChangeDirection.FIRMER: ChangeDirection.SOFTER,
    ChangeDirection.SOFTER: ChangeDirection.FIRMER,
    ChangeDirection.MORE: ChangeDirection.LESS,
    ChangeDirection.LESS: ChangeDirection.MORE,
}


class Quantity(StrEnum):
    """A quantity that should change and can be read again after the next outing."""

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
    """One possible cause; ``order`` 1 is the most likely.

    ``ask``: a question whose yes supports it. ``check``: what to look at by hand. ``say``:
    words for the rider. ``do``: a remedy that is not an adjuster. ``word_first``: no change for
    this finding until the question was answered with no.
    """

    order: int
    text: str
    kinds: tuple[CauseKind, ...]
    when: tuple[Condition, ...] = ()
    unless: tuple[Condition, ...] = ()
    ask: str = ""
    check: str = ""
    say: str = ""
    do: str = ""
    word_first: bool = False

    @property
    def mechanical(self) -> bool:
        return CauseKind.MECHANICAL in self.kinds

    @property
    def technique(self) -> bool:
        return CauseKind.TECHNIQUE in self.kinds


@dataclass(frozen=True)
class ChangeStep:
    """One change: the adjuster, the direction and the size (``low..high`` in ``unit``).

    ``share``: the size in percent of the counted range of the adjuster; ``low`` and ``high`` are
    then the least and the most. Three clicks are little on an adjuster of 40 and much on one of
    8. None: as many as the usual small step, between ``low`` and ``high``.
    ``end`` None: the end the finding was seen on. ``after``: orders of suspects to be ruled
    out first. ``instead_of``: only where all of these are proven or cannot be set.
    """

    suspect: int
    function: AdjusterFunction
    direction: ChangeDirection
    low: Decimal
    high: Decimal
    unit: str
    when: Condition | None = None
    unless: tuple[Condition, ...] = ()
    end: End | None = None
    after: tuple[int, ...] = ()
    instead_of: tuple[tuple[End, AdjusterFunction], ...] = ()
    expect: tuple[Sign, ...] = ()
    share: Decimal | None = None


@dataclass(frozen=True)
class StopCondition:
    """A stop condition: seen by a person, or shown by readings (``when``)."""

    text: str
    action: StopAction
    when: Condition | None = None


@dataclass(frozen=True)
class CatalogueFinding:
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
    steps: tuple[ChangeStep, ...] = ()
    stops: tuple[StopCondition, ...] = ()
    own: bool = False

    def suspect(self, order: int) -> Suspect:
        return self.suspects[order - 1]

    def end_of(self, logged: End | None) -> End | None:
        """The end it applies to: as logged, else its only end."""
        return logged or (self.ends[0] if len(self.ends) == 1 else None)


@dataclass(frozen=True)
class GoodSign:
    """Something that is right, logged like a finding: somebody looked, or asked.

    ``pace``: what the rider says of the pace, compared with the outing before.
    """

    code: str
    title: str
    ends: tuple[End, ...]
    see: str
    pace: str = ""


@dataclass(frozen=True)
class Catalogue:
    findings: Mapping[str, CatalogueFinding]
    sources: Mapping[str, str]
    good: Mapping[str, GoodSign] = field(default_factory=dict)

    def title(self, code: str) -> str:
        """The title of a finding or a good sign; empty for an unknown code."""
        row = self.findings.get(code) or self.good.get(code)
        return row.title if row else ""
