"""The main work by keyboard alone (WCAG 2.2: 2.1.1, 2.1.2, 2.4.3, 2.4.7): Tab, Enter, arrows."""

import pytest
from django.urls import reverse
from playwright.sync_api import Page

from jobs.billing.models import Document
from jobs.people.enums import Role
from jobs.trackday.at_hand import trackday_at_hand
from jobs.worklist.models import TaskMark
from jobs.worklist.selectors import day_read
from tests.browsing import sign_in
from tests.pages import Worked

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

MOST_TABS = 150

# The element in focus: its words, whether the focus is to be seen, whether it comes after the
# one before in the document.
LOOK = """() => {
  const now = document.activeElement;
  const shown = now.closest(".pick") ?? now;
  const style = getComputedStyle(shown);
  const before = window.before;
  window.before = now;
  return {
    words: (now.getAttribute("aria-label") || now.labels?.[0]?.textContent
            || now.textContent || now.name || "").replace(/\\s+/g, " ").trim(),
    name: now.name ?? "",
    body: now === document.body,
    seen: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    onward: !before?.isConnected || Boolean(before.compareDocumentPosition(now) & 4),
  };
}"""


def tab_to(page: Page, words: str, name: str = "") -> None:
    """Tab until what says these words has the focus; every stop on the way can be seen, and
    comes after the one before: nothing traps, nothing jumps."""
    page.evaluate("window.before = document.activeElement")
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        at = page.evaluate(LOOK)
        assert at["body"] or at["seen"], f"focus cannot be seen on {at}"
        assert at["body"] or at["onward"], f"the order jumps back to {at}"
        if not at["body"] and words in at["words"] and name in at["name"]:
            return
    shown = page.inner_text("main")[:600]
    pytest.fail(f"“{words}” {name} is not reached by {MOST_TABS} tabs on: {shown}")


@pytest.fixture
def worker(chromium, live_server, demo, played):
    """``worker(role)``: a page of the midday demo, opened by somebody of that role."""
    played("midday")
    worked = Worked()

    def page_of(role: Role, path: str) -> Page:
        context = chromium.new_context(base_url=live_server.url)
        context.set_default_timeout(30_000)
        sign_in(context, live_server.url, worked.users[role])
        page = context.new_page()
        page.goto(path)
        return page

    page_of.worked = worked
    return page_of


def test_a_task_is_ticked(worker):
    day = day_read(trackday_at_hand())
    task = next(
        task
        for bike in day.bikes
        for task in bike.tasks
        if task.item.code == "words" and task.is_open
    )
    page = worker(Role.TUNER, f"{reverse('board:my-round')}?task={task.id}")
    before = TaskMark.objects.count()
    tab_to(page, "As it was said", name="said")
    page.keyboard.type("runs wide at the hairpin")
    tab_to(page, "Done, next")
    page.keyboard.press("Enter")
    page.locator("#notices .notice").first.wait_for()
    assert "Done" in page.locator("#notices").inner_text()
    assert TaskMark.objects.count() == before + 1


def test_an_invoice_is_issued(worker):
    trackday = trackday_at_hand()
    page = worker(Role.OFFICE, reverse("money:day", args=[trackday.pk]))
    before = Document.objects.filter(kind="invoice", number__isnull=False).count()
    tab_to(page, "Abel Funke")
    page.keyboard.press("Enter")
    tab_to(page, "Invoice", name="kind")
    page.keyboard.press("Enter")
    page.wait_for_url("**/documents/**")
    tab_to(page, "Issue it")
    page.keyboard.press("Enter")
    page.get_by_text("is issued").first.wait_for()
    assert Document.objects.filter(kind="invoice", number__isnull=False).count() == before + 1


def test_the_first_tab_leads_past_the_frame(worker):
    page = worker(Role.TUNER, reverse("board:today"))
    page.keyboard.press("Tab")
    assert page.evaluate(LOOK)["words"] == "To the content"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")
