"""A task of a round is on one screen: what is entered, its keys, and what ends it."""

import pytest
from django.urls import reverse

from jobs.garage.models import Fitting
from jobs.worklist.models import TaskMark
from tests.acts.doing import task_now
from tests.days import local

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]

SIZES = {"phone": (390, 844), "tablet": (1180, 820), "tablet upright": (820, 1180)}
# By checklist item: when it is open, cells to type in, keys of the keypad.
TASKS = {
    "cold-pressures": ((9, 0), 2, 15),
    "hot-reads": ((9, 19), 8, 15),
    "sag": ((9, 0), 8, 15),
    "hot-push": ((9, 19), 0, 0),
    "ring": ((9, 25), 2, 15),
}

KEYS = ".keys .keypad:not([hidden]) .btn, .thumb > .btn, .thumb summary"

# Which of the selected are not wholly in sight: outside the window, or another is over them.
HIDDEN = """selector => [...document.querySelectorAll(selector)].filter((node) => {
  const box = node.getBoundingClientRect();
  const inside = box.top >= -0.5 && box.left >= -0.5
    && box.bottom <= innerHeight + 0.5 && box.right <= innerWidth + 0.5;
  const middle = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return !inside || !(node.contains(middle) || middle?.contains(node));
}).map((node) => node.outerHTML.slice(0, 120))"""

# Texts that are cut, or written over the next one.
OVERPRINTED = """selector => [...document.querySelectorAll(selector)]
  .filter((node) => node.scrollWidth > node.clientWidth + 1)
  .map((node) => node.textContent)"""

SMALL = """([selector, least]) => [...document.querySelectorAll(selector)]
  .map((node) => [node.textContent.trim(), node.getBoundingClientRect()])
  .filter(([, box]) => box.width < least || box.height < least)
  .map(([words, box]) => `${words}: ${box.width} x ${box.height}`)"""


@pytest.fixture
def opened(phone, build, helper):
    """``opened(code, size)``: the helper's card of that item, on a screen of that size."""

    def on(code: str, size: str, at: tuple[int, int]):
        day = build(bikes=1, at=local(*at))
        entry = day.entries[0]
        for end in ("front", "rear"):
            Fitting.objects.create(
                bike=entry.bike, kind="tyre", end=end, name="Round", fitted_at=local(7),
                maker_range_kpa={"cold": [200, 220], "track": [230, 255]},
            )  # fmt: skip
        TaskMark.objects.filter(item__code=code).delete()
        session = None if code in ("cold-pressures", "sag", "safety") else day.sessions[0].pk
        task = task_now(entry, code, session)
        phone.sign_in(helper)
        width, height = SIZES[size]
        phone.page.set_viewport_size({"width": width, "height": height})
        phone.open(f"{reverse('board:my-round')}?task={task.id}")
        phone.page.locator("form.in-hand .main").wait_for()
        return phone.page

    return on


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("code", TASKS)
def test_what_is_read_its_keys_and_done_are_in_sight_together(opened, code, size):
    at, cells, keys = TASKS[code]
    page = opened(code, size, at)
    assert page.locator(".take .cell input").count() == cells
    assert page.locator(".keys .keypad .btn:visible").count() == keys
    entered = ".take .plate, .take .cell, .take .pick, .take > p, .round-top a"
    assert page.evaluate(HIDDEN, f"{entered}, {KEYS}") == []
    assert page.evaluate(OVERPRINTED, ".heads > span, .cell > span:not(.visually-hidden)") == []
    assert page.evaluate(SMALL, [f"{KEYS}, .round-top a", 60]) == []
    assert page.evaluate("document.documentElement.scrollWidth") == page.viewport_size["width"]


@pytest.mark.parametrize("size", SIZES)
def test_what_it_was_and_the_makers_range_stand_beside_the_cells(opened, size):
    page = opened("cold-pressures", size, (9, 0))
    words = page.locator(".take > p.quiet").inner_text()
    assert words == "Maker, cold: front 29 to 31.9 psi, rear 29 to 31.9 psi."  # 200 to 220 kPa


@pytest.mark.parametrize("size", SIZES)
def test_no_number_asks_for_the_keyboard_of_the_device(opened, size):
    page = opened("hot-reads", size, (9, 19))
    modes = page.locator(".take .cell input").evaluate_all("all => all.map(i => i.inputMode)")
    assert set(modes) == {"none"}
    page.locator("[data-nudge='1']").tap()
    assert page.locator("[data-nudge='1']").inner_text() == "+0.5"
    page.locator(".cell input").nth(1).tap()
    assert page.locator("[data-nudge='1']").inner_text() == "+1"


def test_the_keys_do_not_move_while_numbers_go_in(opened):
    page = opened("hot-reads", "phone", (9, 19))
    where = "document.querySelector('[data-key=\"5\"]').getBoundingClientRect().toJSON()"
    before = page.evaluate(where)
    for number in ("34.5", "61", "67", "70", "33", "71", "75", "99"):
        for digit in number:
            page.locator(f".keypad [data-key='{digit}']").tap()
        if number in ("34.5", "33"):
            page.locator(".keypad [data-key='next']").tap()
        assert page.evaluate(where) == before
    assert page.evaluate("scrollY") == 0


def test_of_a_check_list_of_17_a_phone_shows_8_points_and_the_whole_foot(opened):
    page = opened("safety", "phone", (9, 0))
    assert page.locator(".points > li").count() == 17
    seen = 17 - len(page.evaluate(HIDDEN, ".points > li"))
    foot = page.locator(".keys").bounding_box()
    above = page.locator(".points > li").evaluate_all(
        "(all, foot) => all.filter((li) => li.getBoundingClientRect().bottom <= foot).length",
        foot["y"],
    )
    assert min(seen, above) >= 8
    assert page.evaluate(HIDDEN, ".checked-count, .thumb > .btn") == []
    assert page.evaluate(SMALL, [".points .btn", 60]) == []
    assert page.evaluate(SMALL, [".thumb > .btn, .thumb summary", 60]) == []


@pytest.mark.parametrize("size", ["tablet", "tablet upright"])
def test_of_a_check_list_of_17_a_tablet_shows_all_points_and_the_foot(opened, size):
    page = opened("safety", size, (9, 0))
    assert page.evaluate(HIDDEN, ".points > li, .checked-count, .thumb > .btn") == []


def test_a_point_is_passed_failed_and_by_a_second_tap_not_checked_again(opened):
    page = opened("safety", "phone", (9, 0))
    count = page.locator(".checked-count")
    keys = page.locator(".points .pick")
    keys.nth(0).tap()
    keys.nth(3).tap()
    assert count.inner_text() == "1 passed, 1 failed, 15 not checked"
    keys.nth(3).tap()
    assert count.inner_text() == "1 passed, 0 failed, 16 not checked"
