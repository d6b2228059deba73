"""A bike come back: what was good, why, and what has changed since, on one screen at once."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.advice.selectors import earlier_setup_of, settlement_of, then_and_now
from jobs.garage.models import Adjuster, Fitting
from jobs.setups.models import KeptSetup
from jobs.trackday.models import Conditions
from tests.markup import one_line

from ..days import local
from ..queries import page_queries
from .story import Story

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    """A day that ended with a slower rebound, seen to be right, in 100 s laps on a warm track."""
    story = Story(cast)
    tyre(story, "Varsk Halm 120", local(7))
    story.act("conditions", track_c="27", wet=False, trackday=story.trackday.pk)
    story.came_in(1)
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    story.came_in(2)
    story.laps(100)
    story.judge("seen")
    return story


def tyre(story, name, at):
    fitted = Fitting.objects.filter(bike=story.entry.bike, removed_at=None)
    fitted.update(removed_at=at)
    Fitting.objects.create(
        bike=story.entry.bike, kind="tyre", end="front", name=name, fitted_at=at
    )  # fmt: skip


def since(story):
    basis = story.basis()
    before = earlier_setup_of(basis.entry, settlement_of(basis.entry.bike))
    return {row.name: row for row in then_and_now(basis, before)}


def page(browser, story):
    html = browser.get(reverse("board:advice", args=[story.entry.pk])).content.decode()
    return one_line(html)


def everything_else(story):
    """A year later: another venue, new tyre, cold track, three seconds quicker."""
    story.comes_back(after=364, venue="Sallow Hill")
    tyre(story, "Varsk Reed 120", local(7) + timedelta(days=363))
    story.act("conditions", track_c="11", wet=True, trackday=story.trackday.pk)
    story.came_in(1)
    story.laps(97)


def test_a_bike_never_settled_shows_what_it_left_with_and_why_it_was_good(browser, story):
    story.comes_back(after=364)
    html = page(browser, story)
    assert "Never settled; this is what it left with" in html
    assert "Why it was good: seen: Smooth return in ~1 s, no overshoot." in html
    assert "Every adjuster counted stands where it stood then" in html
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    story.act("count", counts=[{"adjuster": rebound.pk, "position": "8"}])
    html = page(browser, story)
    assert '<th scope="row">Front rebound, left leg</th><td>13 out</td><td>8 out</td>' in html
    back = reverse("board:sheet-back", args=[story.entry.pk, "left"])
    assert back in html
    assert "8 out → 13 out" in browser.get(back).content.decode()


def test_the_last_setup_kept_stands_before_what_it_left_with(browser, story):
    story.act("keep", kind="dry", name="Ballymoor dry")
    story.comes_back(after=30)
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    story.act("count", counts=[{"adjuster": rebound.pk, "position": "8"}])
    html = page(browser, story)
    assert "Never settled; last kept as “Ballymoor dry”" in html
    kept = KeptSetup.objects.get(kind="dry")
    assert reverse("board:sheet-back", args=[story.entry.pk, kept.pk]) in html


def test_tyre_pace_venue_and_temperature_are_each_named_then_and_now(browser, story):
    everything_else(story)
    rows = since(story)
    assert [(rows[n].then, rows[n].now) for n in ("Front tyre", "Pace", "Venue", "Track")] == [
        ("Varsk Halm 120", "Varsk Reed 120"),
        ("1:40.2", "1:37.2"),
        ("Ballymoor Circuit", "Sallow Hill"),
        ("27 °C, dry", "11 °C, wet"),
    ]
    assert rows["Track"].said == "wet now, 16 °C colder"
    assert (rows["Venue"].said, rows["Venue"].changed) == ("another venue", True)
    assert rows["Pace"].said == ""  # laps of two venues are not compared
    html = page(browser, story)
    for words in ("Varsk Reed 120", "1:37.2", "Sallow Hill", "16 °C colder"):
        assert words in html


def test_at_the_same_venue_the_gain_in_pace_is_said(story):
    story.comes_back(after=364)
    assert since(story)["Pace"].now == "no lap times"
    story.came_in(1)
    story.laps(97)
    pace = since(story)["Pace"]
    assert (pace.then, pace.now, pace.said, pace.changed) == (
        "1:40.2", "1:37.2", "3.0 s quicker", True,
    )  # fmt: skip


def test_weather_that_was_taken_back_is_not_shown(story):
    Conditions.objects.update(withdrawn_at=local(9))
    story.comes_back(after=30)
    assert since(story)["Track"].then == "–"


def test_a_reading_after_the_last_laps_hides_no_pace(story):
    story.read("push", "front", "s", seconds=1)
    story.comes_back(after=30)
    assert since(story)["Pace"].then == "1:40.2"


def test_without_lap_times_the_riders_word_is_the_pace(story):
    story.comes_back(after=364)
    story.came_in(1)
    story.found("quicker", end="", by_rider=True)
    pace = since(story)["Pace"]
    assert (pace.now, pace.changed) == ("quicker", False)


def test_what_is_the_same_is_not_called_changed(story):
    story.comes_back(after=14)
    story.act("conditions", track_c="25", wet=False, trackday=story.trackday.pk)
    story.came_in(1)
    story.laps(100.5)
    assert [row.name for row in since(story).values() if row.changed] == []
    assert since(story)["Pace"].said == "like pace"


def test_a_settled_bike_come_back_shows_its_own_reference(browser, cast):
    story = Story(cast)
    story.act("conditions", track_c="27", wet=False, trackday=story.trackday.pk)
    for number in (1, 2):
        story.came_in(number)
        for end in ("front", "rear"):
            story.found("clean", end=end)
            story.read("travel", end, "mm", used=90)
        story.found("content", end="")
        story.laps(100)
    story.act("settle")
    everything_else(story)
    html = page(browser, story)
    assert "Open again" in html
    assert "Settled, kept as" in html
    assert "no complaint, like pace: medians 0.0 s apart" in html
    for words in ("Varsk Reed 120", "1:40.2", "1:37.2", "Sallow Hill", "16 °C colder"):
        assert words in html


def test_the_earlier_setup_comes_first_until_the_bike_was_out_then_below_the_work(browser, story):
    story.comes_back(after=30)
    html = page(browser, story)
    assert html.index("It was with us before") < html.index("<h2>Front</h2>")
    story.came_in(1)
    html = page(browser, story)
    assert html.index("<h2>Front</h2>") < html.index("It was with us before")


def test_a_bike_on_its_first_day_has_no_earlier_setup(browser, cast):
    html = page(browser, Story(cast))
    assert "It was with us before" not in html
    assert "Not settled yet" in html


def test_any_number_of_days_before_costs_the_same(browser, story):
    story.comes_back(after=100)
    url = reverse("board:advice", args=[story.entry.pk])
    browser.get(url)
    once = page_queries(browser, url)
    assert once == 63
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="rear", function="rebound")
    story.act("count", counts=[{"adjuster": rebound.pk, "position": "8"}])
    story.came_in(1)
    story.laps(99)
    story.comes_back(after=120)
    url = reverse("board:advice", args=[story.entry.pk])
    assert page_queries(browser, url) == once
