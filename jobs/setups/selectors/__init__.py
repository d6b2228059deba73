"""Reads of the setup book. Every function costs the same queries at any length of book."""

from .gauge_reading import GaugeReading, gauge_reading
from .kept import Difference, compared, kept_setups_of_bike, pressures_kept, way_back
from .parts import FittedPart, parts_of_bike
from .photos import BeforeAfter, identity_photo_of_bike, photos_beside, photos_of_entry
from .positions import (
    SetupBefore,
    Standing,
    arrived_positions,
    entry_before_on_bike,
    last_time_at_venue,
    setup_before,
    standings_of_bike,
    standings_of_day,
    standings_of_entry,
)
from .rows import (
    OpenOrder,
    expectations_open,
    expectations_unjudged,
    findings_of_entry,
    last_readings,
    orders_open,
    readings_of_entry,
    rows_of_entry,
    rows_unplaced,
    travel_without_place,
)
from .sheets import setup_sheets_of
from .stories import ExpectationResult, Story, judged_of_earlier_days, stories_of_entry
from .timeline import Chapter, TimelineLine, timeline_of_entry

__all__ = [
    "BeforeAfter",
    "Chapter",
    "Difference",
    "ExpectationResult",
    "FittedPart",
    "GaugeReading",
    "OpenOrder",
    "SetupBefore",
    "Standing",
    "Story",
    "TimelineLine",
    "arrived_positions",
    "compared",
    "entry_before_on_bike",
    "expectations_open",
    "expectations_unjudged",
    "findings_of_entry",
    "gauge_reading",
    "identity_photo_of_bike",
    "judged_of_earlier_days",
    "kept_setups_of_bike",
    "last_readings",
    "last_time_at_venue",
    "orders_open",
    "parts_of_bike",
    "photos_beside",
    "photos_of_entry",
    "pressures_kept",
    "readings_of_entry",
    "rows_of_entry",
    "rows_unplaced",
    "setup_before",
    "setup_sheets_of",
    "standings_of_bike",
    "standings_of_day",
    "standings_of_entry",
    "stories_of_entry",
    "timeline_of_entry",
    "travel_without_place",
    "way_back",
]
