"""The business draws its venue once; from then on a corner is a tap on the sketch."""

import pytest
from playwright.sync_api import Page, expect

from jobs.desk.demo.business import fixture
from jobs.setups.models import Finding
from jobs.trackday.models import BikeMove
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.acts.doing import clock_set, task_now
from tests.conftest import PASSWORD
from tests.days import Day, day_build, local

from .at_work import Person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def day(cast) -> Day:
    """One bike that came in a minute ago."""
    checklists_load(lists=fixture("checklists.json"))
    day = day_build(bikes=1)
    day_checklists_keep(trackday=day.trackday)
    BikeMove.objects.create(entry=day.entries[0], move="arrived", at=local(8), by=cast.helper)
    clock_set(day.trackday, local(9, 21))
    return day


def tap(page: Page, x: float, y: float) -> None:
    """On the sketch, at a part of its width and height."""
    sheet = page.locator("svg.sketch")
    box = sheet.bounding_box()
    sheet.click(position={"x": box["width"] * x, "y": box["height"] * y})


def draw(helper: Person) -> None:
    page = helper.page
    helper.to_day("corners")
    page.fill("#names", "Quay\nHairpin")
    for x, y in ((0.1, 0.8), (0.9, 0.8), (0.5, 0.2)):
        tap(page, x, y)
    page.get_by_role("radio", name="Hairpin").check()
    tap(page, 0.5, 0.2)
    expect(page.get_by_role("radio", name="Quay")).to_be_checked()  # the next one without a place
    page.locator("#sketch-sheet").focus()
    for key in (*["ArrowRight"] * 20, *["ArrowDown"] * 9, "Enter"):
        page.keyboard.press(key)
    expect(page.locator("#sketch-sheet .spot")).to_have_count(2)
    helper.tap(page.get_by_role("button", name="Keep corners and sketch"))
    helper.told("Corners and sketch are kept.")


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_a_corner_is_tapped_on_the_sketch(person, day, size):
    helper = Person(person("helper", PASSWORD, size=size), day.trackday)
    draw(helper)
    venue = day.trackday.venue
    assert len(venue.__class__.objects.get().sketch) == 3
    corners = {corner.name: (corner.x, corner.y) for corner in venue.corners.all()}
    assert corners["Quay"] == (90, 48)
    assert corners["Hairpin"] == pytest.approx((50, 12), abs=1)

    page = helper.page
    task = task_now(day.entries[0], "words", day.sessions[0].pk)
    page.goto(f"/round/?task={task.id}")
    tap(page, 0.55, 0.3)
    expect(page.get_by_role("radio", name="Hairpin")).to_be_checked()
    expect(page.locator(".spot.on")).to_have_text("Hairpin")
    tap(page, 0.8, 0.9)
    expect(page.get_by_role("radio", name="Quay")).to_be_checked()
    page.get_by_text("Mid-corner", exact=True).click()
    helper.do("it will not turn")
    found = Finding.objects.get()
    assert (found.words, found.corner, found.by_rider) == ("it will not turn", "Quay", True)
