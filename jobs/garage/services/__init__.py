"""Writes of the garage. Each is an ordinary service; acts call them with their own id."""

from .figures import figures_write
from .fittings import fitting_fit, fitting_remove
from .gauges import gauge_keep
from .outfits import adjuster_describe, adjusters_add, bike_set_up, sheet_keep
from .sheets import sheets_import

__all__ = [
    "adjuster_describe",
    "adjusters_add",
    "bike_set_up",
    "figures_write",
    "fitting_fit",
    "fitting_remove",
    "gauge_keep",
    "sheet_keep",
    "sheets_import",
]
