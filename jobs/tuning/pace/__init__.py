"""Pace: lap times as typed (:mod:`.laps`), an outing's pace and its change (:mod:`.outing`)."""

from .laps import LONGEST_S, SHORTEST_S, Lap, laps_and_faults, parse_laps
from .outing import (
    FEWEST_CLEAN_LAPS,
    OutingPace,
    PaceChange,
    hodges_lehmann,
    median_absolute_deviation,
    outing_pace,
    pace_change,
    reopens,
)

__all__ = [
    "FEWEST_CLEAN_LAPS",
    "LONGEST_S",
    "SHORTEST_S",
    "Lap",
    "OutingPace",
    "PaceChange",
    "hodges_lehmann",
    "laps_and_faults",
    "median_absolute_deviation",
    "outing_pace",
    "pace_change",
    "parse_laps",
    "reopens",
]
