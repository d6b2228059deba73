"""What the reasoning is told: the bike as it stands, and what was seen, read and done.

Plain frozen values. Lengths mm, pressures kPa gauge, times s or min; adjuster positions
are Decimals in the adjuster's own unit.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from ..damping import PushClass
from ..terms import AdjusterFunction, End, Firming, Leg, OilState, Origin, TyreState, Verdict
from .catalogue import Direction, Finding


@dataclass(frozen=True)
class Adjuster:
    """One thing that can be set, and where the book says it stands (None: not counted)."""

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
    # The oil when it was last moved: a rebound set cold goes back to as arrived.
    moved_when: OilState | None = None

    @property
    def open_to_change(self) -> bool:
        return self.usable and not self.proven

    def way(self, direction: Direction) -> int:
        """+1 or -1: which way its number goes to move in ``direction``."""
        if direction in (Direction.MORE, Direction.LESS):
            return 1 if direction == Direction.MORE else -1
        firmer = 1 if self.firming == Firming.UP else -1
        return firmer if direction == Direction.FIRMER else -firmer


@dataclass(frozen=True)
class Tyre:
    """The tyre maker's gauge range per state in kPa, and the state its set pressure is for."""

    maker_range_kpa: Mapping[TyreState, tuple[float, float]] = field(default_factory=dict)
    set_state: TyreState = TyreState.COLD
    new_model: bool | None = None


@dataclass(frozen=True)
class Bike:
    adjusters: tuple[Adjuster, ...] = ()
    tyres: Mapping[End, Tyre] = field(default_factory=dict)
    holds: tuple[str, ...] = ()

    def of(self, end: End, function: AdjusterFunction) -> tuple[Adjuster, ...]:
        """Its adjusters of one function at one end: one, or one a leg."""
        return tuple(a for a in self.adjusters if a.end == end and a.function == function)


@dataclass(frozen=True)
class PushTest:
    """``this_turnaround``: since the bike last stopped; only then a hot one counts."""

    end: End
    seen: PushClass
    oil: OilState
    this_turnaround: bool
    seconds: float | None = None


@dataclass(frozen=True)
class Pressure:
    """``usable``: fresh enough for its state (a hot one within 5 minutes of the stop)."""

    end: End
    kpa_gauge: float
    state: TyreState
    usable: bool = True


@dataclass(frozen=True)
class Sag:
    """``stiction_mm``: after the lift minus after the push."""

    end: End
    rider_mm: float
    free_mm: float | None = None
    stiction_mm: float | None = None


@dataclass(frozen=True)
class Travel:
    end: End
    used_mm: float
    usable_mm: float


@dataclass(frozen=True)
class Observed:
    """Today's last reading of each kind; what was not read is simply not there."""

    pushes: tuple[PushTest, ...] = ()
    pressures: tuple[Pressure, ...] = ()
    sags: tuple[Sag, ...] = ()
    travels: tuple[Travel, ...] = ()
    oil: OilState | None = None
    laps: int | None = None
    fades: bool | None = None
    pace: str | None = None  # faster, like or slower than the reference
    wet: bool | None = None
    track_change_c: float | None = None
    # What was done to the preload of each end today.
    preload: Mapping[End, str] = field(default_factory=dict)
    # Answers to the suspects' questions: (finding code, suspect's order) -> yes or no.
    answers: Mapping[tuple[str, int], bool] = field(default_factory=dict)


@dataclass(frozen=True)
class Logged:
    """A finding of the catalogue seen on this bike today."""

    finding: Finding
    end: End | None = None


@dataclass(frozen=True)
class Tried:
    """A change already made for a finding; ``verdict`` None: not judged yet.

    ``moves``: adjuster key, from, to. ``put_back``: it was undone since.
    """

    end: End
    function: AdjusterFunction
    direction: Direction
    moves: tuple[tuple[Hashable, Decimal, Decimal], ...]
    finding: str = ""
    verdict: Verdict | None = None
    put_back: bool = False
    expected: str = ""


# A suggestion's name: finding code, end moved, function, direction. Evidence uses the same.
Name = tuple[str, End, AdjusterFunction | None, Direction | None]


@dataclass(frozen=True)
class Past:
    """What was tried today, oldest first, and which suggestions were overruled, and why."""

    tried: tuple[Tried, ...] = ()
    overruled: Mapping[Name, str] = field(default_factory=dict)
