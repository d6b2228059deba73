"""Writes of the work: checklists, marks on tasks, holds."""

from .checklists import checklist_save, checklists_load, day_checklists_keep
from .holds import hold_raise, hold_release
from .marks import mark_restore, mark_withdraw, task_mark
from .plans import (
    Inline,
    offer_answer,
    plan_better,
    plan_keep,
    relief_want,
    wish_record,
    wish_withdraw,
)

__all__ = [
    "Inline",
    "checklist_save",
    "checklists_load",
    "day_checklists_keep",
    "hold_raise",
    "hold_release",
    "mark_restore",
    "mark_withdraw",
    "offer_answer",
    "plan_better",
    "plan_keep",
    "relief_want",
    "task_mark",
    "wish_record",
    "wish_withdraw",
]
