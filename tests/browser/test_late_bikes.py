"""Six booked bikes come 11 to 15 minutes before they roll: safety first in every round, no offer
outweighs it, and a bike that rolled unchecked is said so until it is checked."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Locator, Page, expect

from jobs.outbox.worker import drain
from jobs.worklist.enums import TaskState
from jobs.worklist.models import DayPlan, TaskMark
from tests.acts.doing import clock_set, task_now
from tests.conftest import PASSWORD
from tests.worklist.late_bikes import MINUTES_BEFORE, ROLL, late_day

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CHECK = "Arrival safety"


def posted(page: Page, button: Locator) -> None:
    """Tap a button of the round; the answer has come."""
    page.evaluate("sessionStorage.removeItem('act-tap')")  # a tap of its own, no bounce
    with page.expect_response(lambda answer: "/rounds/tick/" in answer.url) as sent:
        button.click()
    assert sent.value.status == 200
    expect(page.locator(".htmx-request")).to_have_count(0)


def tasks_of_round(page: Page) -> list[str]:
    """The names of the tasks of a round, the one in hand first."""
    page.goto("/round/")
    in_hand = page.locator("form.hand .task b").first.inner_text()
    return [in_hand, *page.locator("#then > ul.stack a.task b:not(.number)").all_inner_texts()]


def test_safety_first_on_a_day_with_late_bikes(cast, person):
    day = late_day(cast)
    tuner = person("tuner", PASSWORD, size="laptop")
    helper = person("helper", PASSWORD, size="tablet")
    for entry, minutes in zip(day.entries, MINUTES_BEFORE, strict=True):
        clock_set(day.trackday, ROLL - timedelta(minutes=minutes))
        helper.goto("/round/")
        posted(helper, helper.locator(f"button.plated[value='{entry.pk}']"))
    for page in (tuner, helper):
        tasks = tasks_of_round(page)
        assert tasks[0] == CHECK
        assert "Pre-grid check" not in tasks
    board = f"/day/{day.trackday.pk}/"
    tuner.goto(board)
    assert tuner.locator("ol.first b:not(.number)").all_inner_texts() == [CHECK] * 3

    planned = checks_planned(day)
    assert len(planned) == 4
    drain()  # search on, look for the best of the rest, offer it
    offer = DayPlan.objects.get().offer
    assert offer is None or not checks(day) & set(offer["loses"])
    tuner.reload()
    if offer:
        tuner.get_by_role("button", name="Take it").click()
        expect(tuner.get_by_text("A better round is ready.")).to_have_count(0)
    assert len(checks_planned(day)) == 4

    for page in (helper, tuner, helper, tuner):
        assert tasks_of_round(page)[0] == CHECK
        posted(page, page.get_by_role("button", name="All others pass: done", exact=True))
    assert TaskMark.objects.filter(item__code="safety", mark="done").count() == 4

    clock_set(day.trackday, ROLL + timedelta(minutes=4))
    rolled = [e for e in day.entries if task_now(e, "safety").state != TaskState.DONE]
    for page, address in ((tuner, board), (helper, "/round/")):
        page.goto(address)
        expect(page.locator(".alert.stops")).to_have_text(
            [re.compile(rf"{e.number} A is out without its arrival safety check") for e in rolled]
        )
    tuner.goto(board)
    assert tuner.locator("[data-state=out].stopword").all_inner_texts() == ["out, not checked"] * 2

    clock_set(day.trackday, ROLL + timedelta(minutes=21))
    for page, entry in zip((helper, tuner), rolled, strict=True):
        page.goto(f"{board}bikes/{entry.pk}/")
        page.get_by_role("link", name=CHECK).first.click()
        posted(page, page.get_by_role("button", name="All others pass: done", exact=True))
    helper.goto("/round/")
    expect(helper.locator(".alert.stops")).to_have_count(0)


def checks(day) -> set[str]:
    return {str(task_now(entry, "safety").id) for entry in day.entries}


def checks_planned(day) -> set[str]:
    return checks(day) & DayPlan.objects.get().slots.keys()
