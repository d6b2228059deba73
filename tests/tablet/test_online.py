"""An enrolled tablet with network: every form does what it does in any other browser."""

import pytest
from playwright.sync_api import expect

from jobs.acts.models import Act
from jobs.garage import services as garage
from jobs.setups import selectors
from jobs.setups.models import Adjustment
from tests.setups.writing import count, rear_rebound

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def entry(tablet, day, cast):
    tablet.sign_in(cast.tuner)
    return day.entries[0]


def said(tablet):
    return expect(tablet.page.locator("#notices"))


def test_from_a_model_sheet_to_the_baseline(tablet, entry, day):
    """A form that is no act, then a plain one that is."""
    new = day.entries[1]
    garage.sheet_from_bike(bike=entry.bike, standards={})
    new.bike.adjusters.all().delete()
    tablet.open(f"/bikes/{new.pk}/")
    tablet.page.click("text=Set the bike up")
    tablet.page.click("button:has-text('Corrib R1')")
    tablet.page.wait_for_selector(".counts input")
    for n, cell in enumerate(tablet.page.query_selector_all(".counts input")):
        cell.fill(str(9 + n))
    tablet.page.click("button:has-text('Counted')")
    said(tablet).to_contain_text("4 adjusters counted.")
    assert [s.position for s in selectors.standings_of_entry(new)] == [9, 10, 11, 12]
    assert tablet.kept() == []
    assert Act.objects.get().device.name == "yellow"


def test_a_change_in_its_panel(tablet, entry, tuner):
    count(tuner, entry, 14)
    tablet.open(f"/bikes/{entry.pk}/")
    tablet.page.click(f"#adjuster-{rear_rebound(entry).pk}")
    tablet.page.click("label.pick:has-text('−3')")
    tablet.page.dblclick("button:has-text('Changed, read back')")
    said(tablet).to_contain_text("3 clicks firmer")
    assert "11 out" in tablet.page.inner_text(f"#adjuster-{rear_rebound(entry).pk}")
    assert Adjustment.objects.filter(kind="change").count() == 1
    assert tablet.kept() == []
    assert Act.objects.get().device.name == "yellow"


def test_a_plain_form_that_is_refused_keeps_what_was_typed(tablet, entry):
    """The reason is said; sent again, the better one takes its place."""
    tablet.open(f"/bikes/{entry.pk}/baseline/")
    cell = tablet.page.locator(".counts input").first
    cell.fill("99")
    tablet.page.click("button:has-text('Counted')")
    tablet.page.get_by_text("1 refused").wait_for()
    expect(cell).to_have_value("99")
    assert [act["state"] for act in tablet.kept()] == ["refused"]
    expect(tablet.page.locator("form[aria-busy]")).to_have_count(0)
    cell.fill("9")
    tablet.page.click("button:has-text('Counted')")
    said(tablet).to_contain_text("counted: 9 out")
    assert tablet.kept() == []
    assert list(Act.objects.order_by("received_at").values_list("outcome", flat=True)) == [
        "refused",
        "applied",
    ]


def test_a_form_that_is_not_an_act_says_that_it_needs_the_network(tablet, entry):
    path = f"/bikes/{entry.pk}/outfit/"
    tablet.open(path)
    tablet.wait_controlled()
    field = tablet.page.locator("input[inputmode=decimal]").first
    field.fill("17")
    tablet.wire.cut()
    tablet.page.click("button:has-text('Set up, then count')")
    said(tablet).to_contain_text("cannot wait on the tablet")
    expect(field).to_have_value("17")
    assert tablet.kept() == []
