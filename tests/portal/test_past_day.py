"""The page of a past day stays as it was, whatever is done to the bike later."""

import random
import re
from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.garage.models import Adjuster, Fitting
from jobs.setups.models import Adjustment
from tests.acts.doing import clock_set
from tests.advice.story import Story
from tests.days import local

pytestmark = pytest.mark.django_db

LATER = ["change", "count", "finding", "reading", "tyre", "keep", "complaint"]


@pytest.fixture
def story(cast):
    """A day on which the front rebound went from 10 to 13."""
    story = Story(cast)
    story.entry.bike.owner = cast.customer_a.customer
    story.entry.bike.save(update_fields=["owner"])
    story.came_in(1)
    noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    story.do_it(noted)
    return story


def pages(story, entry, mine, crew):
    """What the customer reads of the day, what the crew prints, and what the interface says."""
    told = mine.get(reverse("portal:day", args=[entry.pk])).content.decode()
    printed = crew.get(reverse("board:sheet-print", args=[entry.pk])).content.decode()
    answer = crew.get(reverse("api:bike-day", args=[entry.pk])).json()
    token = re.compile(r"\b[A-Za-z0-9]{64}\b")  # of a form, new at each request
    return [token.sub("", page) for page in (told, printed)] + [answer]


def done_later(story, what, which, number):
    adjuster = list(Adjuster.objects.filter(bike=story.entry.bike_id).order_by("pk"))[which]
    if what == "change":
        stands = Adjustment.objects.filter(adjuster=adjuster, state="placed").latest("seq")
        move = {"adjuster": adjuster.pk, "from_position": str(stands.to_position)}
        story.act(
            "change",
            moves=[{**move, "to_position": str(number)}],
            reason="later",
            step_reason="as asked",
        )
    elif what == "count":
        story.act("count", counts=[{"adjuster": adjuster.pk, "position": str(number)}])
    elif what == "finding":
        story.found("R13", words="it hammers")
    elif what == "reading":
        story.read("push", "front", "s", seconds=number)
    elif what == "tyre":
        at = local(9) + story.later
        Fitting.objects.filter(bike=story.entry.bike, removed_at=None).update(removed_at=at)
        Fitting.objects.create(
            bike=story.entry.bike, kind="tyre", end="front", name="Varsk Reed", fitted_at=at
        )
    elif what == "keep":
        story.act("keep", kind="dry", name="Later")
    else:
        story.found("", end="", words="pushes wide", by_rider=True)


def test_the_end_of_the_day_stands_there_and_not_what_stands_now(story, cast, signed_in):
    entry, mine = story.entry, signed_in(cast.customer_a)
    page = mine.get(reverse("portal:day", args=[entry.pk])).content.decode()
    assert "<th>Now</th>" in page
    story.comes_back(after=30)
    story.came_in(1)
    rebound = Adjuster.objects.get(bike=entry.bike_id, end="front", function="rebound")
    move = {"adjuster": rebound.pk, "from_position": "13", "to_position": "18"}
    story.act("change", moves=[move], reason="another day", step_reason="as asked")
    clock_set(entry.trackday, local(9) + timedelta(days=30))
    page = mine.get(reverse("portal:day", args=[entry.pk])).content.decode()
    assert "<th>End of the day</th>" in page
    assert "<td>10 out</td>" in page
    assert "<b>13 out</b>" in page
    assert "18 out" not in page
    bike = mine.get(reverse("portal:bike", args=[entry.bike_id])).content.decode()
    assert "<b>18 out</b>" in bike


def test_between_two_days_the_bikes_page_shows_what_stands_now(story, cast, signed_in):
    """Counted at home the week after: the day keeps its end, the bike shows the count."""
    entry, mine = story.entry, signed_in(cast.customer_a)
    rebound = Adjuster.objects.get(bike=entry.bike_id, end="front", function="rebound")
    clock_set(entry.trackday, local(10) + timedelta(days=7))
    story.act("count", entry=None, bike=entry.bike_id, counts=[
        {"adjuster": rebound.pk, "position": "15"}
    ])  # fmt: skip
    bike = mine.get(reverse("portal:bike", args=[entry.bike_id])).content.decode()
    before, now = bike.split("Where it stands")
    assert "<b>13 out</b>" in before
    assert "<b>15 out</b>" in now


@pytest.mark.parametrize("seed", [1, 2])
def test_nothing_done_later_changes_a_past_day(story, cast, signed_in, seed):
    """Twelve things drawn at random, each of which the page of its own day would show."""
    entry, mine, crew = story.entry, signed_in(cast.customer_a), signed_in(cast.tuner)
    story.comes_back(after=30)
    story.came_in(1)
    was = pages(story, entry, mine, crew)
    drawn = random.Random(seed)
    for _ in range(12):
        done_later(story, drawn.choice(LATER), drawn.randrange(4), drawn.randint(1, 9))
    assert pages(story, entry, mine, crew) == was
