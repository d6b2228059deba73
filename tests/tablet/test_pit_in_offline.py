"""A group comes in with the wire cut: the cards open by the timetable, what is typed is kept."""

import json
import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.setups.models import Measurement
from jobs.tablet.day import pages_of
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Trackday
from jobs.worklist.models import TaskMark
from jobs.worklist.services import checklists_load, day_checklists_keep
from tests.days import local
from tests.outbox.processes import until
from tests.shape.source import ROOT

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]

COUNTDOWN = "/static/paddock/countdown.js"
DAY_NOW = """async ([script, made]) => {
  const root = document.documentElement;
  Object.assign(root.dataset, { rate: 1, made });
  return (await import(script)).dayNow(); }"""
RATE = 10  # a minute of this day takes six seconds


@pytest.fixture
def running(day, cast) -> None:
    """The first group is out, and comes in at 09:18: in a quarter of a minute it stands."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day_checklists_keep(trackday=day.trackday)
    for entry in day.entries:
        BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=cast.helper)
    day.trackday.crew.exclude(user=cast.helper).delete()


def clock_run(day, at: datetime) -> None:
    Trackday.objects.filter(pk=day.trackday.pk).update(
        clock_anchor=at, clock_set_at=datetime.now(UTC), clock_rate=Decimal(RATE)
    )


def test_the_cards_open_by_the_timetable_and_what_is_typed_arrives(tablet, day, cast, running):
    board = reverse("board:day", args=[day.trackday.pk])
    cards = reverse("board:pit-in", args=[day.trackday.pk, cast.helper.pk])
    own_round = reverse("board:round", args=[day.trackday.pk, cast.helper.pk])
    tablet.sign_in(cast.helper)
    tablet.wait_controlled()
    clock_run(day, local(9, 17))
    tablet.keep_pages(own_round, cards, board)
    tablet.wire.cut()
    tablet.open(board)
    expect(tablet.page.locator(".age")).to_contain_text("No network")
    tablet.page.wait_for_url(f"**{cards}", timeout=60_000)
    card = tablet.page.locator(".pit-card:not([hidden])")
    expect(card.locator(".plate")).to_contain_text(day.entries[0].number)
    for cell, value in zip(card.locator(".pair input").all(), ("34", "32"), strict=True):
        cell.fill(value)
    tablet.page.locator("[data-next]").click()
    until(lambda: len(tablet.kept()) == 1)
    assert re.search(r"34\b.*32\b", tablet.kept()[0]["words"])
    assert not Measurement.objects.exists()
    tablet.page.wait_for_url(f"**{own_round}")  # it was the only bike
    tablet.wire.mend()
    tablet.wait_sent()
    mark = TaskMark.objects.get(mark="done", item__code="hot-reads")
    assert (mark.entry, mark.session) == (day.entries[0], day.sessions[0])
    assert local(9, 18) < mark.done_at < local(9, 40)
    assert Measurement.objects.count() == 2


def test_the_clock_of_a_kept_page_goes_on_from_when_it_was_made(tablet, day, cast):
    tablet.sign_in(cast.helper)
    tablet.wait_controlled()
    tablet.open(reverse("board:day", args=[day.trackday.pk]))
    until(lambda: tablet.run("localStorage.getItem('server-offset')") is not None)
    fresh = tablet.run(DAY_NOW, [COUNTDOWN, datetime.now(UTC).isoformat()])
    earlier = (datetime.now(UTC) - timedelta(minutes=30)).isoformat()
    kept = tablet.run(DAY_NOW, [COUNTDOWN, earlier])
    assert 29 * 60 < (kept - fresh) / 1000 < 31 * 60


def test_everybodys_round_and_cards_are_kept(day, cast):
    pages = pages_of(day.trackday)["pages"]
    for person in (cast.tuner, cast.helper):
        for name in ("round", "pit-in"):
            assert reverse(f"board:{name}", args=[day.trackday.pk, person.pk]) in pages
