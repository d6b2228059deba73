"""A day with the default checklists and a crew, for tests of the screens."""

import json
from collections.abc import Callable
from datetime import datetime

import pytest
from django.core.cache import cache

from jobs.people.models import User
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove
from jobs.trackday.services import crew_join
from jobs.worklist.derive import task_id
from jobs.worklist.enums import Mark
from jobs.worklist.models import TaskMark
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.acts.doing import clock_set, item
from tests.conftest import Cast
from tests.days import Day, day_build, local
from tests.shape.source import ROOT


@pytest.fixture(autouse=True)
def _cold() -> None:
    """No fragment of another test's day is still kept."""
    cache.clear()


@pytest.fixture
def build(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Day]:
    """``build(bikes=60)``: arrived, identified and checked, at 09:45 unless said.

    Pages search for a plan by iterations alone: the same plans on a busy machine too.
    """
    monkeypatch.setattr("jobs.worklist.services.plans.PAGE_SEARCH_SECONDS", None)
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))

    def make(bikes: int, at: datetime | None = None) -> Day:
        day = day_build(bikes=bikes)
        for user in (cast.tuner, cast.helper):
            crew_join(trackday=day.trackday, user=user)
        day_checklists_keep(trackday=day.trackday)
        BikeMove.objects.bulk_create(
            BikeMove(entry=entry, move=Move.ARRIVED, at=local(8), by=cast.helper)
            for entry in day.entries
        )
        for code in ("identify", "safety"):
            _mark_all(day, code, cast.helper)
        clock_set(day.trackday, at or local(9, 45))
        return day

    return make


@pytest.fixture
def day(build: Callable[..., Day]) -> Day:
    return build(bikes=4)


def _mark_all(day: Day, code: str, by: User) -> None:
    which = item(day.trackday, code)
    points = {point["code"]: "pass" for point in which.points}
    TaskMark.objects.bulk_create(
        TaskMark(
            task_id=task_id(entry.pk, None, which.checklist.code, code),
            entry=entry,
            item=which,
            mark=Mark.DONE,
            points=points,
            by=by,
            done_at=local(8),
        )
        for entry in day.entries
    )
