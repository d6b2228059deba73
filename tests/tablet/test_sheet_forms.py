"""The bike sheet's own pages on an enrolled tablet, with network and with the wire cut.

Plain forms and panels alike: what is an act is accepted either way, once; what is none
says without network that it cannot wait.
"""

import pytest
from playwright.sync_api import expect

from jobs.acts.models import Act
from tests.setups.writing import count, rear_rebound
from tests.tablet.conftest import Tablet

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]


def fit_a_part(tablet: Tablet) -> None:
    tablet.page.click("form.form label.pick:has-text('Tyre')")
    tablet.page.click("form.form label.pick:has-text('Rear')")
    tablet.page.fill("#name", "Slick 200/60")
    tablet.page.click("button:has-text('Fitted')")


def keep_a_setup(tablet: Tablet) -> None:
    tablet.page.click("label.pick >> nth=0")
    tablet.page.fill("#name", "dry, morning")
    tablet.page.click("button:has-text('Keep it')")


def read_a_pressure(tablet: Tablet) -> None:
    tablet.page.click("label.pick:has-text('Off track')")
    tablet.page.fill("input[name=rear-pressure]", "32.5")
    tablet.page.click("button.main:has-text('Read')")


def count_all(tablet: Tablet) -> None:
    for n, cell in enumerate(tablet.page.query_selector_all(".counts input")):
        cell.fill(str(9 + n))
    tablet.page.click("button:has-text('Counted')")


FORMS = {
    "parts/": fit_a_part,
    "setups/": keep_a_setup,
    "read/pressure/": read_a_pressure,
    "baseline/": count_all,
}


@pytest.mark.parametrize("network", ["there", "gone"])
def test_every_act_of_the_sheet_is_accepted_once(tablet: Tablet, day, cast, network: str):
    """One after another on one tablet, as a bike is worked through."""
    entry = day.entries[0]
    count(cast.tuner, entry, 14, adjuster=rear_rebound(entry))
    tablet.sign_in(cast.tuner)
    pages = [f"/bikes/{entry.pk}/{page}" for page in FORMS]
    tablet.keep_pages(*pages)
    if network == "gone":
        tablet.wire.cut()
    for sent, (page, fill) in enumerate(FORMS.items(), 1):
        tablet.open(f"/bikes/{entry.pk}/{page}")
        fill(tablet)
        _accepted(tablet, sent) if network == "there" else _waits(tablet, sent)
    tablet.wire.mend()
    tablet.wait_sent()
    assert tablet.kept() == []
    acts = list(Act.objects.order_by("revision").values_list("outcome", "by__username"))
    assert acts == [("applied", "tuner")] * len(FORMS)


def _accepted(tablet: Tablet, sent: int) -> None:
    expect(tablet.page.locator("#notices .notice.success")).to_be_visible()
    assert Act.objects.count() == sent


def _waits(tablet: Tablet, sent: int) -> None:
    expect(tablet.page.locator("#notices")).to_contain_text("Kept on this tablet")
    expect(tablet.page.locator(".tabletbar")).to_contain_text(f"{sent} unsent")
    assert Act.objects.count() == 0


@pytest.mark.parametrize(
    ("page", "button"),
    [
        ("setups/", "button:has-text('Keep this bike as a model sheet')"),
        ("outfit/", "button:has-text('Set up, then count')"),
    ],
)
def test_a_form_that_is_not_an_act_goes_to_the_server_or_says_it_cannot(
    tablet: Tablet, day, cast, page: str, button: str
):
    entry = day.entries[0]
    tablet.sign_in(cast.tuner)
    path = f"/bikes/{entry.pk}/{page}"
    tablet.keep_pages(path)
    tablet.open(path)
    tablet.wire.cut()
    tablet.page.click(button)
    expect(tablet.page.locator("#notices")).to_contain_text("cannot wait on the tablet")
    assert tablet.page.url.endswith(path)
    assert tablet.kept() == []
    tablet.wire.mend()
    with tablet.page.expect_navigation() as gone:  # posted as in any other browser
        tablet.page.click(button)
    asked = gone.value.request.redirected_from or gone.value.request
    assert asked.method == "POST"
    assert gone.value.status == 200
