"""Writes of the trackday. Every act raises the day's revision, as its last write."""

from .absences import entry_absence_set, entry_has_rows, entry_remove
from .conditions import conditions_enter, conditions_withdraw
from .crew import crew_join, crew_leave, crew_times, lunches_stagger
from .delays import delay_add, delay_withdraw, sessions_trade
from .entries import (
    entry_group_change,
    entry_group_change_withdraw,
    entry_rider_change,
    entry_rider_change_withdraw,
    entry_walk_up,
)
from .moves import move_record, move_withdraw
from .revision import revision_bump
from .sessions import (
    lunch_set,
    session_add,
    session_cancel,
    session_flag,
    session_restore,
    session_start,
)
from .venues import corners_name, sketch_draw

__all__ = [
    "conditions_enter",
    "conditions_withdraw",
    "corners_name",
    "crew_join",
    "crew_leave",
    "crew_times",
    "delay_add",
    "delay_withdraw",
    "entry_absence_set",
    "entry_group_change",
    "entry_group_change_withdraw",
    "entry_has_rows",
    "entry_remove",
    "entry_rider_change",
    "entry_rider_change_withdraw",
    "entry_walk_up",
    "lunch_set",
    "lunches_stagger",
    "move_record",
    "move_withdraw",
    "revision_bump",
    "session_add",
    "session_cancel",
    "session_flag",
    "session_restore",
    "session_start",
    "sessions_trade",
    "sketch_draw",
]
