"""People of the crew in their browsers: what each does on the screens, as a person would."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Locator, Page, expect

from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment
from jobs.trackday.models import Entry, Trackday

# Somebody who goes by the round: has left the pit-in cards of every session.
CARDS_LEFT = """for (let session = 1; session < 500; session += 1)
  sessionStorage.setItem(`pit-in-over-${session}`, "1");"""

# A number that fits a cell, by the last word of its name; a pressure in psi fits the rest.
PLAUSIBLE = {
    "centre": "70", "left": "68", "right": "69", "used": "90", "hanging": "120",
    "after_push": "84", "after_lift": "88",
}  # fmt: skip
PRESSURE = "31"


def number_for(cell: str) -> str:
    """What a hand would enter: where an adjuster stands in the book, else two steps out."""
    if not cell.startswith("count-"):
        return PLAUSIBLE.get(cell.rsplit("-", 1)[-1], PRESSURE)
    adjuster = Adjuster.objects.get(pk=cell.removeprefix("count-"))
    last = Adjustment.objects.filter(adjuster=adjuster, state="placed").order_by("seq").last()
    position = last.to_position if last else adjuster.lowest + 2 * adjuster.step
    return f"{position.normalize():f}"


@dataclass
class Person:
    """Somebody with a tablet, at the own round unless sent elsewhere; ``taps`` are counted."""

    page: Page
    day: Trackday
    taps: int = 0

    def __post_init__(self) -> None:
        self.page.add_init_script(CARDS_LEFT)

    def tap(self, button: Locator) -> None:
        self.taps += 1
        # A script taps faster than a glove bounces: this tap is one of its own.
        self.page.evaluate("sessionStorage.removeItem('act-tap')")
        button.click()

    def told(self, words: str) -> None:
        expect(self.page.locator("#notices")).to_contain_text(words)

    def to_round(self) -> None:
        self.page.goto("/round/")

    def to_board(self) -> None:
        self.page.goto(f"/day/{self.day.pk}/")

    def to_day(self, tool: str) -> None:
        self.page.goto(f"/day/{self.day.pk}/{tool}/")

    def to_bike(self, entry: Entry) -> None:
        self.page.goto(f"/day/{self.day.pk}/bikes/{entry.pk}/")

    def look(self) -> None:
        """The day has moved, as the live stream tells a tablet; a new order is taken on."""
        self._then(lambda: self.page.evaluate("document.body.dispatchEvent(new Event('moved'))"))
        show = self.page.locator(".changes").get_by_role("button", name="Show")
        if show.count():
            self._then(lambda: self.tap(show))

    def _then(self, moved: Callable[[], None]) -> None:
        with self.page.expect_response(lambda answer: "/then/" in answer.url):
            moved()
        expect(self.page.locator(".htmx-request")).to_have_count(0)

    def arrived(self, entry: Entry) -> None:
        """A plate tapped: its bike stands in the bay."""
        self._post(self.page.locator(f"button.plated[value='{entry.pk}']"))

    @property
    def hand(self) -> Locator:
        return self.page.locator("form.hand")

    @property
    def in_hand(self) -> str:
        """The words of the task in hand; empty: nothing is open."""
        return self.hand.locator(".task b").first.inner_text() if self.hand.count() else ""

    def take(self, words: str) -> None:
        """What presses most, where it is in the hand or in the list below it."""
        offered = self.page.locator("#then > ul a.task", has_text=words)
        if words in self.in_hand or not offered.count():
            return
        with self.page.expect_response(lambda answer: "?task=" in answer.url):
            self.tap(offered.first)
        expect(self.page.locator(".htmx-request")).to_have_count(0)

    def do(self, said: str = "it goes where I look") -> str:
        """The task in hand, entered and ticked; its words. Empty: there was none."""
        task = self.in_hand
        if not task:
            return ""
        rest_passes = self.hand.locator("[name=how][value='rest passes']")
        done = rest_passes if rest_passes.count() else self.hand.locator("button.main[name=how]")
        if not done.count():
            self._judge()
            return task
        if self.hand.get_by_text("No adjuster of this bike is listed yet").count():
            return self._skip("not on this bike")
        for row in self.hand.locator(".picks-of").all():
            best = row.locator("label", has_text=re.compile("right|^\\s*0"))
            if best.count():  # else where travel was read: one place is chosen already
                self.tap(best.first)
        for cell in self.hand.locator(".cell input:visible").all():
            cell.fill(number_for(cell.get_attribute("name") or ""))
        if self.hand.locator("[name=said]").count():
            self.hand.locator("[name=said]").fill(said)
        self._post(done)
        return task

    def _skip(self, reason: str) -> str:
        task = self.in_hand
        self.tap(self.hand.locator("summary", has_text="Skip"))
        self.tap(self.hand.get_by_role("button", name=reason))
        self._post(self.hand.get_by_role("button", name="Skip it"))
        return task

    def _judge(self) -> None:
        """Judging is done where the book is; then back to the round."""
        self.tap(self.page.get_by_role("link", name="Open the bike's sheet"))
        self.tap(self.page.get_by_role("button", name="Seen", exact=True).first)
        self.told("seen")
        self.to_round()

    def _post(self, button: Locator) -> None:
        with self.page.expect_response(lambda answer: "/rounds/tick/" in answer.url) as sent:
            self.tap(button)
        assert sent.value.status == 200
        expect(self.page.locator(".htmx-request")).to_have_count(0)
        assert not self.page.locator("#notices .error").count(), self.page.inner_text("main")
