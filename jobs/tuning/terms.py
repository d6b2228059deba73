"""Words for the parts and states of a motorcycle's suspension, the same in every room.

They are pure values. The Django rooms build their choices from them, and the arithmetic and
the knowledge use them. No room spells them in another way.
"""

from enum import StrEnum


class End(StrEnum):
    FRONT = "front"
    REAR = "rear"


class Leg(StrEnum):
    """Which leg of a fork. A rear shock has ``both``: there is only one."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class AdjusterFunction(StrEnum):
    REBOUND = "rebound"
    COMPRESSION = "compression"  # low speed where a high-speed one exists too
    COMPRESSION_HIGH = "compression_high"
    PRELOAD = "preload"
    SPRING = "spring"  # the rate of the springs that are fitted
    TUBE_HEIGHT = "tube_height"  # fork tube standing proud of the top clamp
    SHOCK_LENGTH = "shock_length"
    LINKAGE = "linkage"
    OIL_LEVEL = "oil_level"
    STEERING_DAMPER = "steering_damper"
    TYRE_PRESSURE = "tyre_pressure"
    MODE = "mode"  # an electronic unit's mode or level


# Functions whose figure is a length, a pressure or a place: it is higher or lower, more or less;
# "firmer" would mean nothing there.
MEASURED_FUNCTIONS = frozenset(
    {
        AdjusterFunction.TUBE_HEIGHT,
        AdjusterFunction.SHOCK_LENGTH,
        AdjusterFunction.LINKAGE,
        AdjusterFunction.OIL_LEVEL,
        AdjusterFunction.TYRE_PRESSURE,
    }
)


class Origin(StrEnum):
    """Where counting starts: ``closed``, unless the maker counts otherwise."""

    CLOSED = "closed"
    OPEN = "open"
    MARK = "mark"  # turns endlessly, read against marks
    ZERO = "zero"  # a measured length or pressure


class Firming(StrEnum):
    """Which way the number moves when the adjuster is made firmer (or higher)."""

    DOWN = "down"  # fewer clicks out is firmer: the usual clicker
    UP = "up"  # more is firmer: preload turns, pressure, reversed clickers


class OilState(StrEnum):
    COLD = "cold"
    WARM = "warm"
    HOT = "hot"


class TyreState(StrEnum):
    COLD = "cold"
    WARMERS = "warmers"
    TRACK = "track"


class TravelPlace(StrEnum):
    """Where travel was read. The ring of a fork sits on its leg, that of a shock on its shaft."""

    FORK_LEG = "fork_leg"
    SHOCK_SHAFT = "shock_shaft"
    WHEEL = "wheel"


class RiderPace(StrEnum):
    """How fast a run group rides, among the groups of its day."""

    NOVICE = "novice"
    MIDDLE = "middle"
    QUICK = "quick"


class Phase(StrEnum):
    """The part of a corner that the rider speaks of."""

    BRAKING = "braking"
    ENTRY = "entry"
    MID = "mid"
    EXIT = "exit"
    STRAIGHT = "straight"
    ANY = "any"


class Verdict(StrEnum):
    SEEN = "seen"
    PARTLY = "partly"
    NOT_SEEN = "not_seen"
    NOT_TESTED = "not_tested"
