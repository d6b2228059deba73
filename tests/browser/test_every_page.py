"""Every page there is: nothing axe finds, in light and in dark, and nothing cut or scrolled
sideways at 400 % zoom (WCAG 2.2, 1.4.10: 320 CSS pixels) nor at 200 % of a laptop (1.4.4).

Trackside pages too: contrast in direct sun (1.4.6, 7:1), and targets for a gloved thumb.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from jobs.calculators.catalogue import BY_SLUG
from jobs.people.enums import Role
from tests.browsing import sign_in
from tests.pages import FoundPage, Worked, pages_of

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

PHONE = {"width": 390, "height": 844}
CONTRAST = {"runOnly": ["color-contrast"]}
SUN = {
    "runOnly": ["color-contrast-enhanced"],
    "rules": {"color-contrast-enhanced": {"enabled": True}},
}
SURFACES = ("board", "tablet", "workbench", "desk", "money", "", "account", "portal")


def violations(page: Page, options: dict | None = None) -> list[str]:
    found = Axe().run(page, options=options).response["violations"]
    return [f"{v['id']}: {node['html'][:110]}" for v in found for node in v["nodes"][:2]]


def wider(page: Page, width: int) -> list[str]:
    page.set_viewport_size({"width": width, "height": 800})
    scrolls = page.evaluate("document.documentElement.scrollWidth")
    return [f"{scrolls} wide in {width}"] if scrolls > width else []


def themed(page: Page, theme: str, options: dict) -> list[str]:
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
    return [f"{theme}, {fault}" for fault in violations(page, options)]


# What a thumb meets on a page; what stands in a sentence is as tall as its line (2.5.8).
TARGETS = "a[href], button, summary, .pick, input, select, textarea"
SMALL = """(targets) => [...document.querySelectorAll(targets)]
  .filter((node) => !node.matches("[type=hidden], .skip, .visually-hidden, .pick *"))
  .filter((node) => node.checkVisibility({ visibilityProperty: true, opacityProperty: true }))
  .filter((node) => !(node.tagName === "A" && getComputedStyle(node).display === "inline"))
  .map((node) => {
    const box = (node.closest("label") ?? node).getBoundingClientRect();
    const more = getComputedStyle(node, "::after");
    const reach = more.position === "absolute" ? -2 * Math.min(0, parseFloat(more.top) || 0) : 0;
    return [node, box.width, box.height + reach];
  })
  .filter(([, width, height]) => width > 1 && (Math.round(height) < 60 || Math.round(width) < 44))
  .map(([node, ...size]) => `${size.map(Math.round).join("x")}: ${node.outerHTML.slice(0, 90)}`)"""
AT_THE_DESK = ("checklist", "model-sheet", "gauge", "print", "finding", "owner", "evidence")


def small(page: Page) -> list[str]:
    """Targets under 60 px, on a phone and on a tablet."""
    found = []
    for width, height in ((390, 844), (1180, 820)):
        page.set_viewport_size({"width": width, "height": height})
        found += [f"in {width}, {one}" for one in page.evaluate(SMALL, TARGETS)]
    return found


def faults(page: Page, found: FoundPage) -> list[tuple[str, str]]:
    page.set_viewport_size(PHONE)
    page.goto(found.path)
    seen = violations(page) + themed(page, "night", CONTRAST)
    surface, _, view = found.name.partition(":")
    if surface in ("board", "tablet"):
        seen += themed(page, "sun", SUN)
        if not any(word in view for word in AT_THE_DESK):
            seen += small(page)
    seen += wider(page, 640) + wider(page, 320)
    return [(found.name, fault) for fault in seen]


def page_of_slug(slug: str) -> FoundPage:
    return FoundPage(f"workbench:page {slug}", Role.TUNER, f"/workbench/{slug}/")


@pytest.fixture
def browse(chromium: Browser, live_server, settings, demo, played):
    """``browse(role)``: a page somebody of that role signed in on."""
    settings.PUBLIC_URL = live_server.url
    played("evening")
    users = Worked().users
    pages = {}

    def page_of(role) -> Page:
        if role not in pages:
            context = chromium.new_context(base_url=live_server.url, viewport=PHONE)
            context.set_default_timeout(30_000)
            if role:
                sign_in(context, live_server.url, users[role])
            pages[role] = context.new_page()
        return pages[role]

    return page_of


def test_no_page_has_a_fault_axe_knows_or_scrolls_sideways(browse):
    """One test for all: the day they are pages of takes half a minute to play."""
    found = pages_of(*SURFACES) + [page_of_slug(slug) for slug in BY_SLUG]
    walked = {one.name.partition(":")[0] if ":" in one.name else "" for one in found}
    assert walked == set(SURFACES), "the walk found no page of a surface"
    wrong = [fault for one in found for fault in faults(browse(one.role), one)]
    assert not wrong, "\n".join(f"{name}: {fault}" for name, fault in wrong)
