"""Writes of the work: checklists, marks on tasks, holds."""

from .checklists import (
    checklist_save,
    checklists_load,
    day_checklists_keep,
    items_copied,
    package_checklists_set,
)
from .holds import hold_raise, hold_release
from .marks import mark_restore, mark_withdraw, task_mark
from .plans import (
    SearchBudget,
    offer_answer,
    plan_publish_better,
    plan_refresh,
    relief_request,
    wish_record,
    wish_withdraw,
)

__all__ = [
    "SearchBudget",
    "checklist_save",
    "checklists_load",
    "day_checklists_keep",
    "hold_raise",
    "hold_release",
    "items_copied",
    "mark_restore",
    "mark_withdraw",
    "offer_answer",
    "package_checklists_set",
    "plan_publish_better",
    "plan_refresh",
    "relief_request",
    "task_mark",
    "wish_record",
    "wish_withdraw",
]
