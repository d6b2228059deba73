"""Writes of the setup book. Each takes ``origin``: who, when, and the act's id as the row's key."""

from .adjusters import adjuster_break, adjuster_mend, adjuster_prove
from .changes import adjustment_change, adjustment_count, adjustment_read_back
from .findings import expectation_judge, expectation_write, finding_write
from .kept import kept_setup_keep
from .moves import rows_move
from .orders import order_write
from .photos import photo_write, photos_of_the_machine_set
from .readings import reading_take, travel_place_say, travel_place_unsay
from .sheets import sheet_handed_over
from .undo import adjustment_place, adjustment_withdraw, row_restore, row_withdraw

__all__ = [
    "adjuster_break",
    "adjuster_mend",
    "adjuster_prove",
    "adjustment_change",
    "adjustment_count",
    "adjustment_place",
    "adjustment_read_back",
    "adjustment_withdraw",
    "expectation_judge",
    "expectation_write",
    "finding_write",
    "kept_setup_keep",
    "order_write",
    "photo_write",
    "photos_of_the_machine_set",
    "reading_take",
    "row_restore",
    "row_withdraw",
    "rows_move",
    "sheet_handed_over",
    "travel_place_say",
    "travel_place_unsay",
]
