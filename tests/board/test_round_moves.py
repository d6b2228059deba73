"""The round as it moves by itself, and the taps on it that are not ticks."""

import uuid

import pytest
from django.urls import reverse

from jobs.trackday.models import BikeMove
from jobs.worklist.enums import TaskState
from jobs.worklist.models import DayPlan, Hold, TaskMark
from tests.acts.doing import bike_now, clock_set, do, pre_grid, task_now
from tests.days import local
from tests.markup import one_line

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def post(day, signed_in, helper):
    browser, url = signed_in(helper), reverse("board:tick", args=[day.trackday.pk])

    def sent(**fields) -> str:
        form = {"act_id": str(uuid.uuid4()), **fields}
        return browser.post(url, form, headers=HTMX).content.decode()

    return sent


@pytest.fixture
def then(day, signed_in, helper):
    browser = signed_in(helper)
    url = reverse("board:round-then", args=[day.trackday.pk, helper.pk])
    return lambda **typed: browser.get(url, typed, headers=HTMX).content.decode()


def placed(task) -> dict[str, object]:
    return {
        "task": task.id,
        "entry": task.entry.pk,
        "session": task.session_id or "",
        "item": task.item.pk,
    }


def test_a_tick_is_taken_back_where_it_is_answered(day, post):
    task = task_now(day.entries[3], "noted")
    page = post(**placed(task), how="tick")
    mark = TaskMark.objects.get(item__code="noted")
    assert f'name="row" value="{mark.pk}"' in page
    assert "Take it back" in page
    page = post(how="undo", row=mark.pk, task=task.id)
    assert "is open again" in page
    assert f'name="task" value="{task.id}"' in page.split('id="then"')[0]
    assert "Take it back" not in page
    assert task_now(day.entries[3], "noted").state == TaskState.OPEN


def test_a_bike_that_comes_is_tapped_on_the_round(day, post, then):
    entry = day.entries[3]
    BikeMove.objects.filter(entry=entry).delete()
    assert 'aria-label="4 D, Corrib R4, is here"' in then()
    page = post(how="arrived", entry=entry.pk)
    assert "4 Corrib R4 is here." in page
    assert "is here&quot;" not in page
    assert bike_now(entry).where.arrived_at is not None


def test_a_tap_beside_the_task_in_hand_leaves_it_as_it_is(day, post):
    """What is half typed into the hand stays: only what stands beside it is sent again."""
    BikeMove.objects.filter(entry=day.entries[3]).delete()
    task = task_now(day.entries[0], "words", day.sessions[0].pk)
    page = post(how="arrived", entry=day.entries[3].pk, task=task.id)
    assert 'id="hand"' not in page
    assert 'id="then"' in page


def test_an_empty_hand_is_given_what_opens(day, then):
    assert 'id="hand"' in then()


def test_a_hand_with_an_open_task_is_left_alone(day, then):
    task = task_now(day.entries[3], "noted")
    assert 'id="hand"' not in then(**placed(task))


def test_what_is_over_leaves_the_hand_unless_something_is_typed(day, then):
    task = task_now(day.entries[0], "words", day.sessions[0].pk)
    assert task.state == TaskState.MISSED
    page = then(**placed(task), said="", note="")
    assert 'id="hand"' in page
    assert "its time has passed" in page
    assert 'id="hand"' not in then(**placed(task), said="it pushes")


def test_a_check_that_failed_is_made_again_once_the_hold_is_released(day, post, helper, tuner):
    clock_set(day.trackday, local(9, 50))
    entry, task = day.entries[3], pre_grid(day.entries[3])
    points = {f"point-{point['code']}": "pass" for point in task.item.points}
    post(**placed(task), **{**points, "point-lever": "fail"}, how="tick")
    hold = Hold.objects.get()
    assert not bike_now(entry).checked
    do("release", tuner, day.trackday, hold=str(hold.pk), reason="bled")
    page = post(**placed(task), **points, how="tick")
    assert "Done: Pre-grid check." in page
    assert bike_now(entry).checked


def test_with_an_empty_hand_one_task_is_offered_and_the_others_work_is_unfolded(
    day, signed_in, helper, tuner
):
    browser = signed_in(helper)
    shut = one_line(browser.get("/round/").content.decode())
    assert "Take it: I am on it" not in shut
    assert '<details class="more"><summary>A hand free?' in shut
    kept = DayPlan.objects.get()
    kept.slots = {task: [start, [tuner.pk]] for task, (start, _) in kept.slots.items()}
    kept.save()
    page = one_line(browser.get("/round/").content.decode())
    offered = page.split('id="then"')[0]
    assert "Take it: I am on it" in offered
    reasons = ("Nobody else will have time for it.", "Planned for Tess, ")
    assert any(f'<p class="quiet why">{reason}' in offered for reason in reasons)
    assert '<details class="more" open><summary>A hand free?' in page.split("Opens soon")[0]
