"""The input of the reasoning: the bike as it stands, and what was seen, read and changed.

Frozen values. Lengths in mm, pressures in kPa gauge, times in s or min; positions of adjusters
are Decimals in the adjuster's own unit.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from ..argument_checks import checked
from ..damping import PushClass
from ..terms import (
    AdjusterFunction,
    End,
    Firming,
    Leg,
    OilState,
    Origin,
    TravelPlace,
    TyreState,
    Verdict,
)
from .catalogue import CatalogueFinding, ChangeDirection


@dataclass(frozen=True)
class AdjusterState:
    """One adjuster, and its position in the setup book (None: not counted)."""

    key: Hashable
    end: End
    function: AdjusterFunction
    lowest: Decimal
    highest: Decimal
    position: Decimal | None
    leg: Leg = Leg.BOTH
    unit: str = "click"
    step: Decimal = Decimal(1)
    origin: Origin = Origin.CLOSED
    firming: Firming = Firming.DOWN
    range_counted: bool = True
    usable: bool = True
    proven: bool = False
    arrived: Decimal | None = None
    # The oil state when it was last moved: a rebound set cold goes back to as arrived.
    moved_when: OilState | None = None

    @property
    def open_to_change(self) -> bool:
        return self.usable and not self.proven

    def sign(self, direction: ChangeDirection) -> int:
        """+1 or -1: the sign of the change of its position in this direction."""
        if direction in (ChangeDirection.MORE, ChangeDirection.LESS):
            return 1 if direction == ChangeDirection.MORE else -1
        firmer = 1 if self.firming == Firming.UP else -1
        return firmer if direction == ChangeDirection.FIRMER else -firmer


@dataclass(frozen=True)
class FittedTyre:
    """The tyre maker's gauge range per state in kPa, and the state its set pressure is for."""

    maker_range_kpa: Mapping[TyreState, tuple[float, float]] = field(default_factory=dict)
    set_state: TyreState = TyreState.COLD
    new_model: bool | None = None


@dataclass(frozen=True)
class BikeSetup:
    adjusters: tuple[AdjusterState, ...] = ()
    tyres: Mapping[End, FittedTyre] = field(default_factory=dict)
    holds: tuple[str, ...] = ()

    def of(self, end: End, function: AdjusterFunction) -> tuple[AdjusterState, ...]:
        """The adjusters of one function at one end: one, or one per leg."""
        return tuple(a for a in self.adjusters if a.end == end and a.function == function)


@checked
@dataclass(frozen=True)
class PushTest:
    """``this_turnaround``: made since the bike last stopped. A hot test counts only then."""

    end: End
    seen: PushClass
    oil: OilState
    this_turnaround: bool
    seconds: float | None = None


@checked
@dataclass(frozen=True)
class PressureReading:
    """``usable``: read soon enough after the stop for its state (see ``jobs.tuning.cooling``)."""

    end: End
    kpa_gauge: float
    state: TyreState
    usable: bool = True


@checked
@dataclass(frozen=True)
class TyreTemperatures:
    """The surface across the tread in °C, as the rider sits (None: not read there), read
    ``minutes`` after the bike stopped, off track, in this turnaround."""

    end: End
    minutes: float
    left_c: float | None = None
    centre_c: float | None = None
    right_c: float | None = None


@checked
@dataclass(frozen=True)
class SagReading:
    """``stiction_mm``: length after the lift minus length after the push."""

    end: End
    rider_mm: float
    free_mm: float | None = None
    stiction_mm: float | None = None


@checked
@dataclass(frozen=True)
class TravelReading:
    """Travel used of what is usable, both where it was read (see ``jobs.tuning.travel``)."""

    end: End
    used_mm: float
    usable_mm: float
    place: TravelPlace = TravelPlace.FORK_LEG


@checked
@dataclass(frozen=True)
class Observations:
    """The last reading of each kind today. What was not read is left out."""

    pushes: tuple[PushTest, ...] = ()
    pressures: tuple[PressureReading, ...] = ()
    temperatures: tuple[TyreTemperatures, ...] = ()
    sags: tuple[SagReading, ...] = ()
    travels: tuple[TravelReading, ...] = ()
    # Of a travel reading that shows nothing yet: the question for what is missing.
    travel_questions: Mapping[End, str] = field(default_factory=dict)
    oil: OilState | None = None
    laps: int | None = None
    fades: bool | None = None
    pace: str | None = None  # faster, like or slower than the reference
    gained_s: float | None = None  # a lap, against the reference; below 0: slower
    earlier_day: bool | None = None  # whether the bike was worked on before today
    wet: bool | None = None
    track_change_c: float | None = None
    # What was done to the preload of each end today.
    preload: Mapping[End, str] = field(default_factory=dict)
    # Answers to the suspects' questions: (finding code, suspect's order) -> yes or no.
    answers: Mapping[tuple[str, int], bool] = field(default_factory=dict)

    def pushed_hot_since_cold(self, end: End) -> bool:
        """Whether the last cold push of an end was followed by a hot one; oldest first."""
        oils = [push.oil for push in self.pushes if push.end == end]
        last_cold = max((i for i, oil in enumerate(oils) if oil == OilState.COLD), default=0)
        return OilState.HOT in oils[last_cold:]


@dataclass(frozen=True)
class LoggedFinding:
    """A finding of the catalogue seen on this bike today.

    ``measured``: the reading that shows it, in words; empty where a person logged it.
    """

    finding: CatalogueFinding
    end: End | None = None
    measured: str = ""


@dataclass(frozen=True)
class TriedChange:
    """A change already made for a finding; ``verdict`` None: not judged yet.

    ``moves``: adjuster key, from, to. ``put_back``: it was undone later.
    """

    end: End
    function: AdjusterFunction
    direction: ChangeDirection
    moves: tuple[tuple[Hashable, Decimal, Decimal], ...]
    finding: str = ""
    verdict: Verdict | None = None
    put_back: bool = False
    expected: str = ""


# What identifies a suggestion: finding code, end, function, direction. Evidence uses it too.
SuggestionKey = tuple[str, End, AdjusterFunction | None, ChangeDirection | None]


@dataclass(frozen=True)
class EarlierToday:
    """The changes made today, oldest first, and the suggestions overruled, with the reasons."""

    tried: tuple[TriedChange, ...] = ()
    overruled: Mapping[SuggestionKey, str] = field(default_factory=dict)
