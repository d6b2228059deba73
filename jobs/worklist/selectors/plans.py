"""Reads of the plan as stored, and of what people have decided about it."""

import uuid
from collections.abc import Iterable

from jobs.trackday.models import Trackday

from ..models import DayPlan, PlanWish


def plan_of(trackday: Trackday) -> DayPlan | None:
    return DayPlan.objects.filter(trackday=trackday).first()


def wishes_of(trackday: Trackday) -> list[PlanWish]:
    """Those in force, in the order accepted: the last about a task is the one that counts."""
    standing = PlanWish.objects.filter(trackday=trackday, withdrawn_at=None)
    return list(standing.select_related("by"))


def moves_of(wishes: Iterable[PlanWish]) -> dict[uuid.UUID, int]:
    """Where tasks were moved: after which session; the last move of a task counts."""
    return {w.task_id: w.after_session_id for w in wishes if w.after_session_id is not None}
