"""Marks on tasks, holds and wishes: what is kept, and what is refused in words."""

import uuid

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from jobs.worklist.derive import task_id
from jobs.worklist.enums import Mark
from jobs.worklist.models import Hold, PlanWish, TaskMark
from jobs.worklist.selectors.plans import wishes_of
from jobs.worklist.services import hold_raise, hold_release, mark_withdraw, task_mark
from jobs.worklist.services.plans import wish_record
from tests.acts.conftest import day  # noqa: F401
from tests.acts.doing import item
from tests.days import day_build, local

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(day):  # noqa: F811
    return day.entries[0]


def mark(entry, code, by, kind=Mark.DONE, **more):
    return task_mark(
        mark_id=uuid.uuid4(), entry=entry, item=item(entry.trackday, code), mark=kind, by=by,
        at=local(9), **more,
    )  # fmt: skip


def test_only_a_skip_needs_a_reason(entry, helper):
    assert mark(entry, "identify", helper).reason == ""
    assert mark(entry, "identify", helper, Mark.STARTED).reason == ""
    with pytest.raises(ValidationError, match="Say why it is skipped"):
        mark(entry, "identify", helper, Mark.SKIPPED, reason=" ")
    assert mark(entry, "identify", helper, Mark.SKIPPED, reason=" wet ").reason == "wet"


def test_a_done_check_keeps_what_was_found_at_every_point_and_a_started_one_nothing(entry, helper):
    done = mark(entry, "safety", helper, points={"tyres": "pass", "wheels": "fail"})
    assert (done.points["tyres"], done.points["wheels"]) == ("pass", "fail")
    assert done.points["chain"] == "not_checked"
    assert mark(entry, "safety", helper, Mark.STARTED, points={"tyres": "pass"}).points == {}


@pytest.mark.parametrize(
    ("points", "why"),
    [({"wings": "pass"}, "no point called “wings”"), ({"tyres": "fine"}, "none of pass, fail")],
)
def test_a_point_or_a_finding_nobody_knows_is_refused(entry, helper, points, why):
    with pytest.raises(ValidationError, match=why):
        mark(entry, "safety", helper, points=points)


def test_work_of_a_session_names_its_session_and_other_work_none(entry, day, helper):  # noqa: F811
    with pytest.raises(ValidationError, match="belongs to no session"):
        mark(entry, "identify", helper, session=day.sessions[0])
    with pytest.raises(ValidationError, match="needs its session of this day"):
        mark(entry, "pre-grid", helper)
    with pytest.raises(ValidationError, match="needs its session of this day"):
        mark(entry, "pre-grid", helper, session=day_build(bikes=0).sessions[0])
    assert mark(entry, "pre-grid", helper, session=day.sessions[0]).session == day.sessions[0]


def test_a_mark_taken_back_twice_keeps_the_first_time(entry, helper, tuner):
    row = mark(entry, "identify", helper)
    mark_withdraw(mark=row, by=helper, at=local(9, 5))
    mark_withdraw(mark=row, by=tuner, at=local(9, 6))
    kept = TaskMark.objects.get()
    assert (kept.withdrawn_by, kept.withdrawn_at) == (helper, local(9, 5))


def test_a_hold_says_why_and_its_release_what_was_found(entry, helper, tuner):
    with pytest.raises(ValidationError, match="why the bike is held"):
        hold_raise(hold_id=uuid.uuid4(), entry=entry, words=" ", by=helper, at=local(9))
    hold = hold_raise(hold_id=uuid.uuid4(), entry=entry, words=" leak ", by=helper, at=local(9))
    release = {"hold_id": hold.pk, "at": local(9, 5)}
    with pytest.raises(PermissionDenied, match="Only a tuner"):
        hold_release(**release, by=helper, reason="dry")
    with pytest.raises(ValidationError, match="a release has a reason"):
        hold_release(**release, by=tuner, reason=" ")
    assert Hold.objects.get().released_at is None
    assert hold_release(**release, by=tuner, reason=" dry ").release_reason == "dry"
    with pytest.raises(ValidationError, match="Tess released this hold already"):
        hold_release(**release, by=tuner, reason="dry")


def wish(entry, code, by, session=None, **more):
    return wish_record(
        wish_id=uuid.uuid4(), entry=entry, session=session, item=item(entry.trackday, code), by=by,
        at=local(9), **more,
    )  # fmt: skip


def test_a_wish_is_of_one_task_with_or_without_its_session(entry, day, tuner):  # noqa: F811
    session = day.sessions[0]
    once, between = wish(entry, "identify", tuner), wish(entry, "hot-reads", tuner, session)
    assert once.task_id == task_id(entry.pk, None, "arrival", "identify")
    assert between.task_id == task_id(entry.pk, session.pk, "between", "hot-reads")


def test_only_work_that_can_wait_is_put_off(entry, day, tuner):  # noqa: F811
    session = day.sessions[4]
    with pytest.raises(ValidationError, match="belongs to its own time"):
        wish(entry, "identify", tuner, after_session=session)
    assert wish(entry, "sag", tuner, after_session=session).after_session == session


def test_tuners_work_is_given_to_no_helper_and_nothing_to_a_customer(
    entry, day, tuner, helper, customer_a  # noqa: F811
):  # fmt: skip
    session = day.sessions[0]
    with pytest.raises(ValidationError, match="is a tuner's work"):
        wish(entry, "follow-up", tuner, session, person=helper)
    with pytest.raises(ValidationError, match="is not of the crew"):
        wish(entry, "identify", tuner, person=customer_a)
    assert wish(entry, "follow-up", tuner, session, person=tuner).person == tuner


def test_the_wishes_of_a_day_are_its_own_and_not_those_taken_back(entry, tuner):
    own = wish(entry, "identify", tuner)
    wish(day_build(bikes=1).entries[0], "identify", tuner)
    taken_back = wish(entry, "safety", tuner, dropped=True)
    PlanWish.objects.filter(pk=taken_back.pk).update(withdrawn_at=local(9, 5))
    assert wishes_of(entry.trackday) == [own]
