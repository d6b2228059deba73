"""When a kept plan no longer fits the day, and what a task costs that is not done."""

import uuid
from types import SimpleNamespace

import pytest

from jobs.people.enums import Role
from jobs.people.models import User
from jobs.planning import Assignment
from jobs.trackday.models import ServicePackage
from jobs.worklist.enums import Skill, TaskState
from jobs.worklist.models import Checklist
from jobs.worklist.planned.problem import (
    ComesAfter,
    TaskToPlan,
    _planned,
    _skills,
    person_skill,
)
from jobs.worklist.planned.stored import crew_form, given_form, is_stale
from jobs.worklist.selectors import checklists_asked_by
from tests.days import local

NOW = 100  # minutes
TUNER, HELPER = 1, 2


def stale(*, start: int, begun: int | None = None, by: int = HELPER, is_open: bool = True) -> bool:
    """Whether a plan is that gives the helper one task at ``start``."""
    locked = () if begun is None else (Assignment("task", begun, (by,)),)
    to_do = {"task": SimpleNamespace(skill=Skill.HELPER, windows=())} if is_open else {}
    plan = SimpleNamespace(
        crew=crew_form(()),
        given=given_form({}, locked, NOW),
        windows={"task": []},
        slots={"task": (start, [HELPER])},
    )
    return is_stale(plan, SimpleNamespace(to_do=to_do, locked=locked, crew=(), now=NOW))


def test_an_open_task_may_begin_five_minutes_after_its_slot():
    assert [stale(start=NOW - late) for late in (0, 5, 6)] == [False, False, True]


def test_a_task_done_well_before_its_slot_makes_room():
    early = (0, 5, 6)
    assert [stale(start=NOW + ahead, is_open=False) for ahead in early] == [False, False, True]


def test_a_task_begun_in_its_slot_by_its_person_changes_nothing():
    assert [stale(start=80, begun=at) for at in (75, 80, 85)] == [False] * 3
    assert [stale(start=80, begun=at) for at in (74, 86)] == [True, True]
    assert stale(start=80, begun=80, by=TUNER)


def test_what_is_pinned_from_now_on_has_not_begun():
    assert not stale(start=NOW + 20, begun=NOW)


def test_only_a_tuner_can_do_what_takes_a_tuner():
    helper, tuner = User(pk=3, role=Role.HELPER), User(pk=4, role=Role.TUNER)
    assert _skills(helper) == {Skill.HELPER, person_skill(3)}
    assert _skills(tuner) == {Skill.HELPER, Skill.TUNER, person_skill(4)}


@pytest.mark.parametrize(
    ("safety", "state", "cost"),
    [
        (False, TaskState.OPEN, 20),
        (False, TaskState.LATER, 10),
        (True, TaskState.OPEN, 10),
        (True, TaskState.LATER, 10),
    ],
)
def test_a_wish_makes_open_work_dearer_and_leaves_safety_and_later_work_as_it_is(
    safety, state, cost
):
    item = SimpleNamespace(
        arrival_check=False, safety=safety, text="Hot pressures", people=1, miss_cost=10,
        planned_minutes=2, code="hot-reads", checklist=SimpleNamespace(code="between"),
    )  # fmt: skip
    entry = SimpleNamespace(pk=7, bay="12", number="7", bike=SimpleNamespace(frame_last4="0123"))
    task = SimpleNamespace(id=uuid.uuid4(), entry=entry, item=item, state=state, session_id=None)
    bike = SimpleNamespace(where=SimpleNamespace(outings=()))
    one = TaskToPlan(task, bike, Skill.HELPER, ((100, 130),), local(0))
    assert _planned(one, 2.0, ComesAfter((), ())).miss_cost == cost


@pytest.mark.django_db
def test_a_checklist_for_no_package_is_for_all_and_another_only_for_its_own():
    own, other = (ServicePackage.objects.create(name=name, code=name) for name in ("day", "setup"))
    for_all, for_own = (
        Checklist.objects.create(code=code, name=code) for code in ("arrival", "follow-up")
    )
    for_own.packages.add(own)
    assert checklists_asked_by(own, [for_all, for_own]) == [for_all, for_own]
    assert checklists_asked_by(other, [for_all, for_own]) == [for_all]
