"""The pit-in cards: one bike after another, with only what fades, on one screen."""

import json
import re
from datetime import datetime

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.setups.models import Finding, Measurement, Reading
from jobs.trackday.models import CrewDay, Entry
from jobs.worklist.models import TaskMark
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import clock_set, do, task_now, tick
from tests.board.test_round_on_one_screen import HIDDEN, OVERPRINTED, SMALL
from tests.browser.test_every_page import CONTRAST, SUN, themed, violations, wider
from tests.days import local
from tests.queries import page_queries

BROWSER = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]
# Group A's first session ends at 09:18, and its bikes stand at 09:20.
STANDS = (9, 20)
SIZES = {"phone": (390, 844), "tablet": (1180, 820), "tablet upright": (820, 1180)}
QUERIES = 26
CARD = ".pit-card:not([hidden])"
KEYS = f"{CARD} form:not([hidden]) .keypad .btn"
TABS = f"{CARD} .tabs .btn:not([hidden])"
BUTTONS = "main button:visible, main a:visible, main summary:visible"


def address(day, person) -> str:
    return reverse("board:pit-in", args=[day.trackday.pk, person.pk])


def page_of(browser, day, person) -> str:
    return browser.get(address(day, person)).content.decode()


def calls(page: str) -> list[dict]:
    found = re.search(r'<script type="application/json">(.*?)</script>', page, re.DOTALL)
    assert found
    return json.loads(found[1])


@pytest.mark.django_db
@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_cards_cost_the_same_queries_for_any_number_of_bikes(build, signed_in, helper, bikes):
    day = build(bikes, at=local(9, 21))
    plan_refresh(day=day_read(day.trackday))
    assert page_queries(signed_in(helper), address(day, helper)) == QUERIES


@pytest.mark.django_db
def test_a_card_asks_only_for_what_fades(build, signed_in, helper):
    day = build(4, at=local(*STANDS))
    page = page_of(signed_in(helper), day, helper)
    items = set(re.findall(r"<h2 class=\"visually-hidden\">\s*(.*?)\s*</h2>", page, re.DOTALL))
    assert items == {
        f"{entry.number} {entry.group.letter}: {what}"
        for entry in day.entries
        for what in (
            "Hot pressures and tyre temperatures",
            "Push test, hot",
            "The rider&#x27;s words",
        )
    }


@pytest.mark.django_db
def test_a_call_is_by_the_timetable_until_a_flag_tap_says_otherwise(build, signed_in, helper):
    day = build(4, at=local(9, 15))
    first = calls(page_of(signed_in(helper), day, helper))[0]
    assert datetime.fromisoformat(first["from"]) == local(9, 20)
    assert datetime.fromisoformat(first["fades"]) == local(9, 22)
    clock_set(day.trackday, local(9, 16))
    do("session flag", helper, day.trackday, session=day.sessions[0].pk)
    moved = calls(page_of(signed_in(helper), day, helper))[0]
    assert (moved["session"], first["session"]) == (day.sessions[0].pk,) * 2
    assert datetime.fromisoformat(moved["from"]) == local(9, 18)


@pytest.mark.django_db
def test_what_is_done_or_over_is_on_no_card(build, signed_in, helper):
    day = build(4, at=local(*STANDS))
    entry = day.entries[0]
    before = calls(page_of(signed_in(helper), day, helper))[0]
    tick("words", helper, entry, day.sessions[0].pk, said=[{"words": "it chatters"}])
    after = calls(page_of(signed_in(helper), day, helper))[0]
    assert len(before["bikes"][0]["tasks"]) == len(after["bikes"][0]["tasks"]) + 1
    clock_set(day.trackday, local(9, 26))
    over = calls(page_of(signed_in(helper), day, helper))[0]
    assert over["session"] != day.sessions[0].pk


@pytest.fixture
def opened(phone, build, helper):
    """The helper's cards of a day of so many bikes, as the first group stands."""

    def on(size: str = "phone", bikes: int = 16, at=STANDS):
        day = build(bikes=bikes, at=local(*at))
        CrewDay.objects.exclude(user=helper).delete()  # all of it is the helper's
        for place, entry in enumerate(day.entries):
            Entry.objects.filter(pk=entry.pk).update(bay=str(place + 1))
        phone.sign_in(helper)
        width, height = SIZES[size]
        phone.page.set_viewport_size({"width": width, "height": height})
        phone.open(address(day, helper))
        return phone.page, day

    return on


def typed(page, *numbers: str) -> None:
    for number in numbers:
        for digit in number:
            page.locator(f"{CARD} .keypad:visible [data-key='{digit}']").tap()
        if len(number) > 2:  # a whole temperature goes on by itself
            page.locator(f"{CARD} .keypad:visible [data-key='next']").tap()


class TestOnOneScreen:
    pytestmark = BROWSER

    @pytest.mark.parametrize("size", SIZES)
    def test_queue_bar_cells_keys_and_next_are_in_sight(self, opened, size):
        page, _day = opened(size)
        page.locator(CARD).wait_for()
        seen = (
            f".queue button, .fading, {CARD} .plate, {TABS}, .pit-top .btn, .pit-foot .btn, {KEYS}"
        )
        cells = ".pair .cell" if size == "phone" else ".cell"
        assert page.evaluate(HIDDEN, f"{seen}, {CARD} form:not([hidden]) {cells}") == []
        assert page.locator(f"{KEYS}:visible").count() == 15
        assert 19 <= page.locator(BUTTONS).count() <= 25
        assert page.evaluate(OVERPRINTED, f"{KEYS}, .pit-foot .btn, .queue button") == []
        small = page.evaluate(SMALL, [f"{KEYS}, .pit-foot .btn, {TABS}", 60])
        assert small == []
        narrow = page.locator(KEYS).evaluate_all(
            "all => all.filter((key) => key.getBoundingClientRect().width < 83).length"
        )
        assert narrow == 0
        assert page.evaluate("document.documentElement.scrollWidth") == SIZES[size][0]
        assert page.evaluate("document.documentElement.scrollHeight") <= SIZES[size][1]

    @pytest.mark.parametrize("theme", ["sun", "night"])
    def test_in_sun_and_at_night_too(self, opened, phone, theme):
        page, _day = opened("phone")
        page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        page.locator(CARD).wait_for()
        assert page.evaluate(HIDDEN, f".queue button, .pit-foot .btn, {KEYS}") == []
        page.locator(f"{CARD} [data-key='next']").tap()
        page.locator(f"{CARD} [data-key='next']").tap()  # on to the temperatures
        expect(page.locator(f"{CARD} .cell-table .cell").first).to_be_visible()
        shown = f".pit-foot .btn, {KEYS}, {CARD} .cell-table .cell"
        assert page.evaluate(HIDDEN, shown) == []

    @pytest.mark.parametrize("face", ["Read", "Push", "Words"])
    def test_axe_finds_nothing_and_320_pixels_are_enough(self, opened, face):
        page, _day = opened()
        page.locator(f"{CARD} .tabs").get_by_role("button", name=face).tap()
        found = violations(page) + themed(page, "night", CONTRAST) + themed(page, "sun", SUN)
        assert found + wider(page, 320) == []

    def test_no_number_asks_for_the_keyboard_of_the_device(self, opened):
        page, _day = opened()
        page.locator(CARD).wait_for()
        modes = page.locator(".pit-card .cell input").evaluate_all(
            "all => all.map((input) => input.inputMode)"
        )
        assert set(modes) == {"none"}


class TestFromBikeToBike:
    pytestmark = BROWSER

    def test_numbers_are_ticked_as_in_the_round_and_the_next_bike_stands_there(self, opened):
        page, day = opened()
        first = page.locator(f"{CARD} .plate").inner_text()
        typed(page, "34.5", "33.0", "61", "67", "70", "71", "75", "99")
        words = page.locator("[data-next]").inner_text()
        assert re.fullmatch(r"Next: \d+ A, bay \d+", words)
        page.locator("[data-next]").tap()
        expect(page.locator("#notices")).to_contain_text("Done: Hot pressures")
        assert page.locator(f"{CARD} .plate").inner_text() != first
        mark = TaskMark.objects.get(mark="done", item__code="hot-reads")
        assert mark.entry.number in first
        assert mark.task_id == task_now(mark.entry, "hot-reads", day.sessions[0].pk).id
        taken = Reading.objects.filter(entry=mark.entry, session=day.sessions[0])
        assert taken.count() == 4
        values = Measurement.objects.filter(reading__in=taken).values_list("value", flat=True)
        assert sorted(map(float, values)) == [33.0, 34.5, 61, 67, 70, 71, 75, 99]

    def test_a_swipe_is_next_and_what_was_not_reached_is_in_the_round(self, opened, phone):
        page, _day = opened()
        before = page.locator(f"{CARD} .plate").inner_text()
        swipe(page, CARD)
        expect(page.locator(f"{CARD} .plate")).not_to_have_text(before)
        assert not TaskMark.objects.filter(mark="done", item__code="hot-reads").exists()
        while page.locator("[data-next]").inner_text() != "Done, to the round":
            page.wait_for_timeout(450)
            page.locator("[data-next]").tap()
        page.wait_for_timeout(450)
        page.locator("[data-next]").tap()
        page.wait_for_url("**/rounds/*/")
        expect(page.get_by_text("Hot pressures and tyre temperatures").first).to_be_visible()

    def test_not_in_yet_puts_a_bike_last(self, opened):
        page, _day = opened(bikes=12)
        first = page.locator(f"{CARD} .plate").inner_text()
        page.locator("[data-not-in]").tap()
        expect(page.locator(f"{CARD} .plate")).not_to_have_text(first)
        last = page.locator(".queue button").last
        expect(last).to_contain_text("not in")
        page.reload()  # it is still last
        expect(page.locator(".queue button").last).to_contain_text("not in")

    def test_a_push_and_the_riders_words_are_other_faces_of_the_card(self, opened):
        page, _day = opened()
        page.locator(f"{CARD} .tabs").get_by_role("button", name="Words").tap()
        page.locator(f"{CARD} [name=said]:visible").fill("it runs wide")
        page.locator(f"{CARD} .tabs").get_by_role("button", name="Push").tap()
        page.locator(f"{CARD} .picks .pick:visible", has_text="Right").first.tap()
        page.locator("[data-next]").tap()
        expect(page.locator("#notices .notice")).to_contain_text("Done")
        page.wait_for_timeout(500)
        assert set(TaskMark.objects.filter(mark="done").values_list("item__code", flat=True)) >= {
            "words", "hot-push",
        }  # fmt: skip
        assert Finding.objects.get(by_rider=True).words == "it runs wide"

    def test_a_hold_is_one_tap_away_and_what_is_typed_is_sent_before(self, opened):
        page, day = opened()
        typed(page, "34.5")
        page.locator("[data-hold]").tap()
        page.wait_for_url("**/bikes/*/#hold")
        mark = TaskMark.objects.get(mark="done", item__code="hot-reads")
        assert page.url.endswith(f"/day/{day.trackday.pk}/bikes/{mark.entry_id}/#hold")

    def test_what_cannot_be_is_refused_and_nothing_typed_is_lost(self, opened):
        page, _day = opened()
        first = page.locator(f"{CARD} .plate").inner_text()
        page.locator(f"{CARD} .pair input").first.fill("900")
        page.locator("[data-next]").tap()
        assert page.locator(f"{CARD} .plate").inner_text() == first
        assert page.locator(f"{CARD} .pair input").first.input_value() == "900"

    def test_a_tick_is_taken_back_and_its_bike_stands_there_again(self, opened):
        page, _day = opened()
        first = page.locator(f"{CARD} .plate").inner_text()
        typed(page, "34.5")
        page.locator("[data-next]").tap()
        page.get_by_role("button", name="Take it back").tap()
        expect(page.locator(f"{CARD} .plate")).to_have_text(first)
        assert not TaskMark.objects.filter(
            mark="done", item__code="hot-reads", withdrawn_at=None
        ).exists()


def swipe(page, selector: str) -> None:
    page.locator(selector).wait_for()
    page.evaluate(
        """selector => {
          const card = document.querySelector(selector);
          const touch = (x) => new Touch({ identifier: 1, target: card, clientX: x, clientY: 300 });
          const said = (kind, x, on) => card.dispatchEvent(new TouchEvent(kind,
            { bubbles: true, touches: on ? [touch(x)] : [], changedTouches: [touch(x)] }));
          said("touchstart", 300, true);
          said("touchend", 120, false);
        }""",
        selector,
    )


class TestCalled:
    """Board and round open the cards by themselves, and never over what somebody does."""

    pytestmark = BROWSER

    @pytest.mark.parametrize("place", ["board", "round"])
    def test_the_cards_open_by_themselves_once(self, opened, phone, place):
        page, day = opened()
        page.evaluate("sessionStorage.clear()")
        where = reverse("board:my-round")
        if place == "board":
            where = reverse("board:day", args=[day.trackday.pk])
        page.goto(phone.origin + where)
        page.wait_for_url("**/pit-in/")
        page.goto(phone.origin + where)  # somebody left them
        line = page.locator(".pit-in-line")
        expect(line.locator("a")).to_have_text("A 1 is in: 4 bikes for you")
        if place == "board":  # where a task is in hand, the line leaves room for its hold
            line.get_by_role("button", name="Later").tap()
            expect(line).to_have_count(0)

    def test_a_number_being_typed_is_not_covered(self, opened, phone):
        page, day = opened(at=(9, 19))
        page.goto(f"{phone.origin}{reverse('board:my-round')}")
        page.locator("form.in-hand").wait_for()
        page.evaluate("document.querySelector('form.in-hand .cell input').value = '3'")
        clock_set(day.trackday, local(9, 20))
        page.evaluate("document.documentElement.dataset.now = '2026-06-13T09:20:10+01:00'")
        expect(page.locator(".pit-in-line a")).to_be_visible()
        assert (
            page.evaluate(HIDDEN, ".round-top .stop, .take .plate, .take .cell, .keys .keypad .btn")
            == []
        )
        assert page.locator("form.in-hand .cell input").first.input_value() == "3"

    def test_a_task_that_was_chosen_is_not_covered(self, opened, phone):
        page, day = opened()
        page.evaluate("sessionStorage.clear()")
        task = task_now(day.entries[1], "cold-pressures")
        page.goto(f"{phone.origin}{reverse('board:my-round')}?task={task.id}")
        expect(page.locator(".pit-in-line a")).to_be_visible()
        assert "/pit-in/" not in page.url

    def test_at_a_bikes_sheet_it_is_one_line(self, opened, phone):
        page, day = opened()
        page.goto(phone.origin + reverse("board:day", args=[day.trackday.pk]))
        page.locator(".pit-in-line").wait_for()  # the board has said when the calls are
        page.goto(phone.origin + reverse("board:sheet", args=[day.entries[1].pk]))
        line = page.locator(".pit-in-line a")
        line.tap()
        page.wait_for_url("**/pit-in/")
