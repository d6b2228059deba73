"""The words every room shares for parts and states of a motorcycle's suspension.

Pure values: Django rooms build their choices from these, the arithmetic and the
knowledge name them, and no second spelling exists anywhere.
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
    TUBE_HEIGHT = "tube_height"  # fork tube standing proud of the top clamp
    SHOCK_LENGTH = "shock_length"
    LINKAGE = "linkage"
    OIL_LEVEL = "oil_level"
    STEERING_DAMPER = "steering_damper"
    TYRE_PRESSURE = "tyre_pressure"
    MODE = "mode"  # an electronic unit's mode or level


class Origin(StrEnum):
    """Where a count starts. ``closed`` unless the maker counts otherwise."""

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


class Phase(StrEnum):
    """The part of a corner a rider's words are about."""

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


class ReadingKind(StrEnum):
    PRESSURE = "pressure"
    TYRE_TEMPERATURE = "tyre_temperature"
    SAG = "sag"
    PUSH = "push"
    TRAVEL = "travel"
    WEAR = "wear"
    LAPS = "laps"
