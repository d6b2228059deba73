"""Chances, work offered and minutes learned, as the crew sees them."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.desk.demo.business import PASSWORD as DEMO_PASSWORD
from jobs.outbox.worker import drain
from jobs.trackday.models import CrewDay, Trackday
from jobs.trackday.services import revision_bump
from jobs.worklist.models import ChecklistItem, DayPlan, TaskMark
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.planned.problem import id_text
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import ranked_steps
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import bike_now, task_now
from tests.board.conftest import _cold, build  # noqa: F401
from tests.conftest import PASSWORD
from tests.days import local
from tests.worklist.test_chances import done_at
from tests.worklist.test_plan import kept

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_helper_with_nothing_to_do_is_offered_a_task(build, cast, person):  # noqa: F811
    day = build(4)
    plan = plan_refresh(day=day_read(day.trackday))
    left_out = task_now(day.entries[3], "count")
    plan.slots = {
        task: [start, [cast.tuner.pk]]
        for task, (start, _people) in plan.slots.items()
        if task != id_text(left_out.id)
    }
    plan.save()
    helper = person("helper", PASSWORD, size="tablet")
    helper.goto("/round/")
    expect(helper.get_by_text("You could take:")).to_be_visible()
    expect(helper.get_by_text("nobody else will have time for it")).to_be_visible()
    with helper.expect_response(lambda answer: "/rounds/tick/" in answer.url) as sent:
        helper.get_by_role("button", name="Take it: I am on it").click()
    assert sent.value.ok
    assert TaskMark.objects.get(mark="started").task_id == left_out.id


def delay_that_costs(day, tuner) -> int:
    """Minutes of a delay by which a follow-up becomes much less likely.

    Which one does hangs on the plan the search finds. The tuner leaves while follow-ups are
    still to do, so that a delay moves some of them beyond their hours.
    """
    for leaves in (local(10, 40), local(10, 5), local(10, 15), local(10, 25)):
        CrewDay.objects.filter(user=tuner).update(leaves_at=leaves)
        DayPlan.objects.all().delete()
        read, plan = kept(day)
        for minutes in (15, 10, 5):
            falling = delay_cost(read, plan, minutes).falling
            if falling and falling[0].before - falling[0].after >= 20:
                return minutes
    raise AssertionError("no delay makes a follow-up less likely")


def test_a_chance_falls_when_a_delay_is_tapped(build, cast, person):  # noqa: F811
    day = build(8, at=local(9, 22))
    minutes = delay_that_costs(day, cast.tuner)
    tuner = person("tuner", PASSWORD, size="tablet")
    board = reverse("board:day", args=[day.trackday.pk])
    tuner.goto(board)
    drain()
    assert DayPlan.objects.get().chances["bikes"]
    tuner.goto(board)
    expect(tuner.locator("#board .sure").first).to_contain_text("%")
    tuner.get_by_role("button", name=f"{minutes} minutes later").first.click()
    falls = tuner.locator(f"#delay{minutes} .chances li")
    expect(falls.first).to_contain_text("from")
    before, after = map(int, re.findall(r"(\d+) %", falls.first.inner_text()))
    assert after < before
    assert not day.trackday.delays.exists()


def test_the_least_likely_follow_up_is_seen_first(build, cast, person):  # noqa: F811
    day = build(8, at=local(9, 25))
    for entry in day.entries:
        for task in bike_now(entry).tasks:
            if task.item.code != "follow-up" and task.opens <= local(9, 26):
                done_at(task, cast.helper)
    read, plan = kept(day)
    drain()
    waiting = [
        step.bike.entry
        for step in ranked_steps(read, slots_of(plan))
        if step.task.item.code == "follow-up"
    ]
    first, last = waiting[0], waiting[-1]
    assert first != last
    tuner, seen = person("tuner", PASSWORD, size="tablet"), "#board .first li"
    for entry, chance in ((first, "30 %"), (last, "20 %")):
        said = {str(each.pk): 0.9 for each in waiting} | {str(first.pk): 0.3}
        said |= {str(entry.pk): float(chance[:2]) / 100}
        DayPlan.objects.update(chances={"bikes": said, "cost": [0, 0, 0]})
        revision_bump(trackday_id=day.trackday.pk)
        tuner.goto(reverse("board:day", args=[day.trackday.pk]))
        expect(tuner.locator(seen).first).to_contain_text(f"follow-up in time: {chance}")
        expect(tuner.locator(seen).first.locator(".plate")).to_contain_text(entry.number)


def test_minutes_are_learned_on_the_demos_earlier_days(live_server, settings, demo, played, person):
    trackday = played("morning")
    earlier = Trackday.objects.exclude(pk=trackday.pk).latest("date")
    tuner = person("roan", DEMO_PASSWORD, size="tablet")
    tuner.goto(reverse("board:day-times", args=[earlier.pk]))
    expect(tuner.locator("main")).to_contain_text("For the next booking")
    tuner.goto("/checklists/arrival/")
    expect(tuner.locator("main")).to_contain_text("from 15 times")
    count = ChecklistItem.objects.get(code="count", checklist__retired_at=None)
    assert (count.minutes, count.learned_marks) == (4, 15)
    assert count.planned_minutes > 4
