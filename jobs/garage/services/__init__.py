"""Writes of the garage. Each is an ordinary service; acts call them with their own id."""

from .adjusters import adjuster_describe, adjusters_add, bike_set_up, sheet_from_bike
from .figures import figures_write
from .fittings import fitting_fit, fitting_remove
from .gauges import gauge_save
from .sheets import sheets_import

__all__ = [
    "adjuster_describe",
    "adjusters_add",
    "bike_set_up",
    "figures_write",
    "fitting_fit",
    "fitting_remove",
    "gauge_save",
    "sheet_from_bike",
    "sheets_import",
]
