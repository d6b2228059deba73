"""Somebody with nothing open is offered work; nothing moves before he takes it."""

import pytest
from django.urls import reverse

from jobs.worklist.models import DayPlan, TaskMark
from jobs.worklist.planned.problem import id_text
from jobs.worklist.planned.spare_work import spare_work
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import rounds
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import do, task_now

pytestmark = pytest.mark.django_db


@pytest.fixture
def idle_helper(day, tuner, helper):
    """A plan that gives the tuner everything and leaves out the count on the last bike."""
    plan = plan_refresh(day=day_read(day.trackday))
    left_out = task_now(day.entries[3], "count")
    plan.slots = {
        task: [start, [tuner.pk]]
        for task, (start, _people) in plan.slots.items()
        if task != id_text(left_out.id)
    }
    plan.save()
    return left_out


def offered(day):
    now, plan = day_read(day.trackday), DayPlan.objects.get(trackday=day.trackday)
    return spare_work(now, plan, rounds(now, slots=slots_of(plan)))


def page(browser, day, helper):
    return browser.get(reverse("board:round", args=[day.trackday.pk, helper.pk])).content.decode()


def test_who_has_nothing_open_is_offered_what_would_be_lost(day, idle_helper, helper):
    (person,) = offered(day)
    spare = offered(day)[person]
    assert (person, spare.step.task.id) == (helper.pk, idle_helper.id)
    assert spare.why == "nobody else will have time for it"


def test_one_tap_on_the_round_takes_it(day, idle_helper, signed_in, helper):
    browser = signed_in(helper)
    assert "You could take:" in page(browser, day, helper)
    fields = {"entry": day.entries[3].pk, "item": idle_helper.item.pk, "task": idle_helper.id}
    browser.post(reverse("board:tick", args=[day.trackday.pk]), {**fields, "how": "start"})
    assert TaskMark.objects.get(mark="started").task_id == idle_helper.id
    assert "You could take:" not in page(browser, day, helper)


def test_the_board_says_what_he_could_take(day, idle_helper, signed_in, tuner):
    text = signed_in(tuner).get(reverse("board:day", args=[day.trackday.pk])).content.decode()
    number = day.entries[3].number
    assert f"could take {number} D, {idle_helper.item.text}" in " ".join(text.split())


def test_the_print_of_the_board_has_everybodys_round(day, idle_helper, signed_in, tuner):
    text = signed_in(tuner).get(reverse("board:print", args=[day.trackday.pk])).content.decode()
    assert "Tess" in text
    assert "Hal" in text


def test_another_persons_round_offers_no_tap(day, idle_helper, signed_in, tuner, helper):
    text = page(signed_in(tuner), day, helper)
    assert "You could take:" in text
    assert "Take it: I am on it" not in text


def test_who_has_work_of_his_own_is_offered_nothing(day, idle_helper, helper):
    do("start task", helper, day.trackday, entry=day.entries[3].pk, item=idle_helper.item.pk)
    assert offered(day) == {}
