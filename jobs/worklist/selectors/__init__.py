"""Reads of the work: a whole day at once, and what a day's checklists ask."""

from .arrival_checks import arrival_checks_unmade
from .checklists import (
    checklists_asked_by,
    checklists_current,
    checklists_only_for,
    items_of_day,
)
from .day import day_read
from .holds import holds_of_bike, stop_of_entry

__all__ = [
    "arrival_checks_unmade",
    "checklists_asked_by",
    "checklists_current",
    "checklists_only_for",
    "day_read",
    "holds_of_bike",
    "items_of_day",
    "stop_of_entry",
]
