"""What is done at a bike with the wire cut: its tag opens it, six temperatures are entered."""

import json
import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.setups.models import Measurement
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.acts.doing import clock_set, task_now
from tests.days import local
from tests.shape.source import ROOT

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

TEMPERATURES = ["71", "84", "78", "80", "95", "103"]


def test_a_tag_opens_its_bike_without_network(tablet, day, cast):
    entry = day.entries[1]
    tablet.sign_in(cast.helper)
    tablet.wait_controlled()
    tablet.wait_day_kept()
    tablet.wire.cut()
    tablet.open(reverse("board:tag", args=[entry.bike_id]))
    expect(tablet.page).to_have_url(tablet.origin + reverse("board:sheet", args=[entry.pk]))
    expect(tablet.page.locator("h1")).to_contain_text(str(entry.bike))
    expect(tablet.page.locator(".plate.large")).to_contain_text(entry.number)


def test_a_tag_this_tablet_knows_nothing_of_says_so(tablet, day, cast):
    tablet.sign_in(cast.helper)
    tablet.wait_controlled()
    tablet.wire.cut()
    tablet.open(reverse("board:tag", args=[999]))
    expect(tablet.page.locator("#notices")).to_have_text(
        "The bike of this tag is not kept on this tablet: it needs the network."
    )


@pytest.fixture
def hot(day, cast) -> str:
    """The helper's card of the hot reads, a minute after the flag."""
    entry = day.entries[0]
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day_checklists_keep(trackday=day.trackday)
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=cast.helper)
    clock_set(day.trackday, local(9, 19))
    task = task_now(entry, "hot-reads", day.sessions[0].pk)
    return f"{reverse('board:my-round')}?task={task.id}"


def test_six_tyre_temperatures_without_network_are_in_the_book_afterwards(tablet, hot, cast):
    tablet.sign_in(cast.helper)
    tablet.keep_pages(hot)
    tablet.wire.cut()
    tablet.page.reload()
    expect(tablet.page.locator(".age")).to_contain_text("No network")
    cells = tablet.page.locator("#hand .cell input")
    for cell, value in zip(
        cells.all(), ["34", *TEMPERATURES[:3], "32", *TEMPERATURES[3:]], strict=True
    ):
        cell.fill(value)
    tablet.page.get_by_role("button", name="Done, next").click()
    expect(tablet.page.locator(".tabletbar")).to_contain_text("1 unsent")
    row = tablet.page.locator(".tabletrows li")
    expect(row).to_contain_text("on this tablet")
    for value in TEMPERATURES:
        expect(row).to_contain_text(re.compile(rf"\b{value}\b"))
    assert not Measurement.objects.exists()
    tablet.page.reload()
    expect(row).to_have_count(1)
    tablet.wire.mend()
    tablet.wait_sent()
    expect(row).to_have_count(0)
    kept = Measurement.objects.filter(reading__kind="tyre_temperature").order_by("pk")
    assert [f"{one.value:.0f}" for one in kept] == TEMPERATURES
    assert {one.unit for one in kept} == {"degC"}


def test_the_manual_opens_without_network(tablet, day, cast):
    tablet.sign_in(cast.helper)
    tablet.wait_controlled()
    tablet.wait_day_kept()
    tablet.wire.cut()
    tablet.open(reverse("board:work", args=[day.trackday.pk, day.entries[0].pk]))
    tablet.page.locator(".to-manual").click()
    expect(tablet.page).to_have_url(tablet.origin + "/manual/helper/#arrival")
    expect(tablet.page.locator("#arrival")).to_contain_text("A stand can let the bike fall")
