"""Reads of the setup book. Every function costs the same queries at any length of book."""

from .gauged import Gauged, gauged
from .kept import Difference, compared, kept_setups_of_bike, way_back
from .parts import FittedPart, parts_of_bike
from .photos import BeforeAfter, face_of_bike, photos_beside, photos_of_entry
from .positions import (
    SetupBefore,
    Standing,
    arrived_positions,
    entry_before_on_bike,
    last_time_at_venue,
    setup_before,
    standings_of_bike,
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
)
from .stories import Outcome, Story, stories_of_entry
from .timeline import Chapter, Line, timeline_of_entry

__all__ = [
    "BeforeAfter",
    "Chapter",
    "Difference",
    "FittedPart",
    "Gauged",
    "Line",
    "OpenOrder",
    "Outcome",
    "SetupBefore",
    "Standing",
    "Story",
    "arrived_positions",
    "compared",
    "entry_before_on_bike",
    "expectations_open",
    "expectations_unjudged",
    "face_of_bike",
    "findings_of_entry",
    "gauged",
    "kept_setups_of_bike",
    "last_readings",
    "last_time_at_venue",
    "orders_open",
    "parts_of_bike",
    "photos_beside",
    "photos_of_entry",
    "readings_of_entry",
    "rows_of_entry",
    "rows_unplaced",
    "setup_before",
    "standings_of_bike",
    "standings_of_entry",
    "stories_of_entry",
    "timeline_of_entry",
    "way_back",
]
