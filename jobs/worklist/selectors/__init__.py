"""Reads of the work: a whole day at once, and what a day's checklists ask."""

from .checklists import checklists_current, items_of_day
from .day import day_read

__all__ = ["checklists_current", "day_read", "items_of_day"]
