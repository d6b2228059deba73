"""Pace: lap times as typed (:mod:`.laps`), an outing's pace and its change (:mod:`.outing`)."""

from .laps import Lap, parse_laps
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
    "Lap",
    "OutingPace",
    "PaceChange",
    "hodges_lehmann",
    "median_absolute_deviation",
    "outing_pace",
    "pace_change",
    "parse_laps",
    "reopens",
]
