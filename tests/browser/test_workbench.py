"""The workbench and the sag cell in a browser: worked out while typing, with no signal too."""

from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from jobs.calculators.catalogue import BY_SLUG
from tests.conftest import PASSWORD
from tests.days import day_build

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

READINGS = (("hanging", "127"), ("after_push", "95"), ("after_lift", "101"))
SERIOUS = {"serious", "critical"}


@pytest.fixture
def bench(person, cast, business):
    return person("tuner", PASSWORD, size="phone")


def fill(page, pairs, prefix="input[name={}]"):
    for name, value in pairs:
        page.fill(prefix.format(name), value)


def test_a_calculator_answers_while_one_types_and_asks_once_more(bench):
    bench.goto(reverse("workbench:page", args=["fork-rate"]))
    fill(bench, (("left", "0.95"), ("right", "0.95"), ("rake", "24")))
    bench.wait_for_selector("#answer >> text=9.32 N/mm")
    bench.click("#answer .sure")
    bench.wait_for_selector("#answer >> text=2.28 N/mm")
    bench.evaluate("scrollTo(0, 0)")
    at_once = bench.locator(".at-once")  # the answer is in sight while the form is filled
    assert "2.28 N/mm" in at_once.inner_text()
    place = at_once.bounding_box()
    assert 0 < place["y"] + place["height"] <= bench.viewport_size["height"]
    assert bench.url.endswith("/workbench/fork-rate/")


def test_sag_is_said_while_it_is_typed_and_with_no_signal(bench):
    entry = day_build(bikes=1).entries[0]
    entry.bike.front_usable_travel_mm = Decimal(120)
    entry.bike.save()
    bench.goto(reverse("board:sheet-read", args=[entry.pk, "sag"]))
    fill(bench, READINGS, prefix="input[name=front-{}]")
    bench.wait_for_selector(".typed >> text=24 % of the travel")
    bench.context.set_offline(True)
    bench.fill("input[name=front-after_lift]", "99")
    bench.wait_for_selector(".typed >> text=Sag 30.0, stiction 4.0")
    bench.fill("input[name=front-after_lift]", "80")
    bench.wait_for_selector(".typed >> text=Are the two readings swapped?")
    bench.context.set_offline(False)
    bench.fill("input[name=front-after_lift]", "101")
    bench.wait_for_selector(".typed >> text=29.0 mm")


@pytest.mark.parametrize("theme", ["paper", "night", "sun"])
def test_nothing_serious_for_assistive_technology(bench, theme):
    bench.context.add_cookies([{"name": "theme", "value": theme, "url": bench.url}])
    query = "?hanging=127&after_push=95&after_lift=101&swings=1"
    pages = [reverse("workbench:home"), reverse("workbench:table")]
    pages += [
        reverse("workbench:page", args=[slug]) + query for slug in ("sag", "push", "geometry")
    ]
    for address in pages:
        bench.goto(address)
        found = Axe().run(bench).response["violations"]
        assert [one["id"] for one in found if one["impact"] in SERIOUS] == [], address


def test_no_page_is_wider_than_a_phone(bench):
    wide = []
    for slug in BY_SLUG:
        bench.goto(reverse("workbench:page", args=[slug]))
        if bench.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wide.append(slug)
    assert wide == []
