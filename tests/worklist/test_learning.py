"""How long tasks take is learned from the marks of earlier days."""

import json
from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.outbox.models import Job
from jobs.trackday.models import Delay, Trackday
from jobs.trackday.services import crew_join
from jobs.worklist.models import ChecklistItem, TaskMark
from jobs.worklist.planned.problem import day_problem
from jobs.worklist.selectors import day_read
from jobs.worklist.selectors.work_times import work_times_of_days
from jobs.worklist.services import (
    checklist_save,
    checklists_load,
    day_checklists_keep,
    items_copied,
)
from jobs.worklist.services.learning import minutes_learn
from tests.acts.doing import clock_set, do, item, task_now
from tests.days import day_build, local
from tests.shape.source import ROOT

pytestmark = pytest.mark.django_db
CODE, TOOK = "count", timedelta(minutes=8)  # the checklist says 4


@pytest.fixture
def taught(cast):
    """``taught(3)``: so many earlier days, each with six counts that took 8 minutes each."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))

    def taught(days):
        for before in range(1, days + 1):
            _earlier_day(before, cast.helper)
        day = day_build(bikes=3)
        crew_join(trackday=day.trackday, user=cast.tuner)
        crew_join(trackday=day.trackday, user=cast.helper)
        day_checklists_keep(trackday=day.trackday)
        minutes_learn(before=day.trackday)
        return day

    return taught


def _earlier_day(before, by):
    day = day_build(bikes=6)
    Trackday.objects.filter(pk=day.trackday.pk).update(
        date=day.trackday.date - timedelta(days=before)
    )
    which = item(day.trackday, CODE)
    for place, entry in enumerate(day.entries):
        start = local(7) + place * 2 * TOOK
        task = task_now(entry, CODE).id
        for mark, at in (("started", start), ("done", start + TOOK)):
            TaskMark.objects.create(
                task_id=task, entry=entry, item=which, mark=mark, by=by, done_at=at
            )


def learned():
    return ChecklistItem.objects.get(code=CODE, checklist__retired_at=None)


def test_three_days_are_planned_with(taught):
    day = taught(3)
    one = learned()
    assert (one.minutes, one.learned_marks) == (4, 18)
    assert Decimal("6.5") < one.learned_minutes < Decimal(8)
    assert one.planned_minutes == 7
    clock_set(day.trackday, local(7))
    do("arrived", day.trackday.crew.first().user, day.trackday, entry=day.entries[0].pk)
    kinds = {task.kind: task.minutes for task in day_problem(day_read(day.trackday)).day.tasks}
    assert kinds["clicker count"] == 7


def test_two_days_are_counted_but_not_planned_with(taught):
    taught(2)
    one = learned()
    assert (one.learned_marks, one.learned_minutes, one.planned_minutes) == (12, None, 4)


def test_what_nobody_marked_stays_as_the_checklist_says(taught):
    taught(3)
    one = ChecklistItem.objects.get(code="sag", checklist__retired_at=None)
    assert (one.learned_minutes, one.learned_marks, one.planned_minutes) == (None, 0, one.minutes)


def test_a_person_overrules_what_was_learned(taught):
    taught(3)
    one = learned()
    one.minutes_by_hand = True
    assert one.planned_minutes == 4


def test_the_next_version_of_a_checklist_knows_what_was_learned(taught):
    taught(3)
    before = learned()
    copies = items_copied(before.checklist)
    checklist_save(code=before.checklist.code, name="Anew", items=copies)
    assert learned().checklist.version == before.checklist.version + 1
    assert learned().learned_minutes == before.learned_minutes
    assert checklist_save(code=before.checklist.code, name="Anew", items=copies) is None


def test_a_window_too_short_for_what_was_learned_is_used_all_the_same(taught):
    day = taught(3)
    ChecklistItem.objects.filter(code=CODE).update(learned_minutes=600)
    clock_set(day.trackday, local(8))
    do("arrived", day.trackday.crew.first().user, day.trackday, entry=day.entries[0].pk)
    found = day_problem(day_read(day.trackday)).day.tasks
    (planned,) = [task for task in found if task.kind == "clicker count"]
    ((first, last),) = planned.windows
    assert planned.minutes == last - first < 600


def test_a_day_asks_once_for_what_the_days_before_teach(taught):
    day = taught(0)
    day_checklists_keep(trackday=day.trackday)
    jobs = Job.objects.filter(handler="worklist.minutes")
    assert [job.payload for job in jobs] == [{"trackday": day.trackday.pk}]


def test_the_checklist_shows_what_was_learned(taught, signed_in, tuner):
    taught(3)
    text = signed_in(tuner).get("/checklists/arrival/").content.decode()
    assert "from 18 times" in " ".join(text.split())


def test_the_roll_is_the_one_after_the_delay(taught):
    """Work begun after the planned roll and ended before the delayed one was not broken off."""
    day = taught(0)
    entry, which = day.entries[0], item(day.trackday, CODE)
    roll = day.trackday.sessions.filter(group=entry.group).earliest("planned_start").planned_start
    task = task_now(entry, CODE).id
    for mark, minutes in (("started", -4), ("done", 4)):
        at = roll + timedelta(minutes=minutes)
        TaskMark.objects.create(
            task_id=task, entry=entry, item=which, mark=mark, by=entry_tuner(day), done_at=at
        )
    assert work_times_of_days([day.trackday.pk])[day.trackday.pk] == []
    Delay.objects.create(
        trackday=day.trackday, minutes=10, from_planned=roll, at=roll, by=entry_tuner(day)
    )
    (time,) = work_times_of_days([day.trackday.pk])[day.trackday.pk]
    assert time.minutes == pytest.approx(8)


def entry_tuner(day):
    return day.trackday.crew.first().user
