"""The page says it in the rider's words, with the figures and terms a rider needs."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster, Bike, Fitting
from jobs.people.models import Business
from jobs.portal.glossary import ADJUSTERS
from jobs.portal.told import sentence
from jobs.setups.models import Order
from jobs.trackday.models import Conditions
from tests.acts.doing import clock_set
from tests.advice.story import Story
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    story = Story(cast)
    Bike.objects.filter(pk=story.entry.bike_id).update(owner=cast.customer_a.customer)
    return story


@pytest.fixture
def mine(signed_in, customer_a):
    return signed_in(customer_a)


def words(answer):
    """The words of the page, one space between them."""
    main = answer.content.decode().split("<main")[1].split("</main>")[0]
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())


def told(story, browser):
    return words(browser.get(reverse("portal:day", args=[story.entry.pk])))


def rebound(story):
    return Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")


def changed(story, to, **more):
    move = {"adjuster": rebound(story).pk, "from_position": "10", "to_position": str(to)}
    return story.act("change", moves=[move], **more)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("overshoot.", "Overshoot."),
        ("gone", "Gone."),
        ("really?", "Really?"),
        ("  two goes.. ", "Two goes."),
        ("", ""),
        ("...", ""),
    ],
)
def test_what_was_typed_ends_by_one_mark(typed, shown):
    assert sentence(typed) == shown


def test_a_verdict_is_a_sentence_and_what_was_noted_stands_beside_it(story, mine):
    story.came_in(1)
    noted = story.found("R5", words="it buzzes", by_rider=True)
    changed(story, 12, finding=str(noted.pk), reason="it buzzes", expectation="No overshoot.")
    story.judge("seen", words="gone, braking later.")
    page = told(story, mine)
    assert "“it buzzes” the rider's words, after session 1" in page
    assert "Expected No overshoot. What came of it It came as expected." in page
    assert "Noted: “gone, braking later”" in page
    assert "overshoot.." not in page
    assert "Why" not in page  # the reason is the rider's words, and these are quoted


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        ("seen", "Front rebound, left leg, 2 clicks softer: it came as expected."),
        ("partly", "it came in part."),
        ("not_seen", "what was expected did not come."),
        ("not_tested", "what came of it is not judged yet."),
    ],
)
def test_the_headline_says_what_came_of_the_day(story, mine, verdict, said):
    story.came_in(1)
    changed(story, 12, expectation="calmer")
    story.judge(verdict)
    page = mine.get(reverse("portal:day", args=[story.entry.pk])).content.decode()
    [headline] = re.findall(r'class="lede">([^<]+)', page)
    assert headline.endswith(said)


def test_pressures_stand_with_their_state_and_their_tyre(story, mine):
    Fitting.objects.create(
        bike=story.entry.bike, kind="tyre", end="front", name="Varsk Reed", compound="soft",
        fitted_at=local(7), maker_range_kpa={"track": [230, 255]}, due_after_outings=8,
    )  # fmt: skip
    story.read("pressure", "front", "psi", pressure="31.5", tyre_state="cold")
    story.came_in(1)
    story.read("pressure", "front", "psi", pressure="34", tyre_state="track")
    story.read("pressure", "rear", "psi", pressure="33", tyre_state="track")
    page = told(story, mine)
    assert "Before the first session cold, 09:00 31.5 –" in page or "cold, 08:00 31.5 –" in page
    assert re.search(r"After session 1 off track, 09:2\d 34 33", page)
    assert "Front Varsk Reed, soft" in page
    # 230 and 255 kPa are 33.4 and 37.0 psi (NIST SP 811, appendix B: 6.894757 kPa)
    assert "off track 33.4 to 37 psi" in page
    assert "1 outing. Its next service is due after 7 more outings." in page


@pytest.mark.parametrize(
    ("code", "said"),
    [("1126", "Made in week 11 of 2026."), ("B4", "Its date code: B4."), ("", "On since")],
)
def test_a_tyre_says_when_it_was_made(story, mine, code, said):
    """The date code's first two figures are the week, its last two the year (49 CFR 574.5)."""
    Fitting.objects.create(
        bike=story.entry.bike, kind="tyre", end="front", name="Varsk Reed", date_code=code,
        fitted_at=local(7),
    )  # fmt: skip
    assert said in told(story, mine)


def test_laps_travel_and_weather_are_said_or_said_to_be_missing(story, mine):
    page = told(story, mine)
    for missing in ("It was not read.", "No times were taken.", "Nobody wrote them down."):
        assert missing in page
    story.came_in(1)
    story.laps(100)
    story.read("travel", "front", "mm", used=91)
    for hour, track in ((9, "7"), (11, "19")):
        Conditions.objects.create(
            trackday=story.trackday, at=local(hour), track_c=track, air_c="8", wet=False,
            by=story.tuner,
        )  # fmt: skip
    page = told(story, mine)
    # laps 100.0 to 100.5 s: the middle of six clean laps is 100.25 s, by hand
    assert "Session 1: 6 laps, the best 1:40.0, pace 1:40.2." in page
    assert "Front: 91 mm" in page
    assert "Dry. Track 7 to 19 °C. Air 8 °C." in page


def test_what_is_only_recommended_is_told_apart_until_it_is_done(story, mine):
    story.act("order", moves=[
        {"adjuster": rebound(story).pk, "from_position": "10", "to_position": "12"}
    ], reason="next time")  # fmt: skip
    assert Order.objects.count() == 1
    assert "Only recommended, not done Front rebound, left leg from 10 out to 12 out" in told(
        story, mine
    )
    order = Order.objects.get()
    changed(story, 12, order=str(order.pk))
    assert "Only recommended" not in told(story, mine)


def test_every_adjuster_says_which_screw_it_is(story, mine):
    page = told(story, mine)
    for adjuster in Adjuster.objects.filter(bike=story.entry.bike_id):
        assert str(ADJUSTERS[adjuster.function].screw(adjuster.end)) in page
    assert set(ADJUSTERS) == set(Function.values)


def test_the_tuner_can_be_reached_from_the_page_and_from_a_shared_day(story, mine):
    Business.objects.update_or_create(
        pk=1, defaults={"name": "Hollin", "phone": "+353 1 000", "email": "van@hollin.example"}
    )
    page = mine.get(reverse("portal:bike", args=[story.entry.bike_id])).content.decode()
    shared = mine.post(reverse("portal:share", args=[story.entry.pk]), follow=True)
    link = re.search(r'href="[^"]*(/shared/[^"]+)"', shared.content.decode())[1]
    for text in (page, Client().get(link).content.decode()):
        assert 'href="tel:+3531000"' in text
        assert 'href="mailto:van@hollin.example"' in text
    assert "What it cost" not in Client().get(link).content.decode()


def test_a_day_somebody_else_pays_for_shows_no_bill(story, mine, cast):
    assert story.entry.payer != cast.customer_a.customer
    assert "What it cost" not in told(story, mine)
    story.entry.payer = cast.customer_a.customer
    story.entry.save(update_fields=["payer"])
    page = told(story, mine)
    assert "What it cost" in page


def test_one_day_has_no_seasons_and_two_say_how_little_they_are(story, mine):
    url = reverse("portal:bike", args=[story.entry.bike_id])
    story.came_in(1)
    story.read("pressure", "front", "psi", pressure="34", tyre_state="track")
    changed(story, 12)
    assert "Over the seasons" not in words(mine.get(url))
    first = story.entry
    story.comes_back(after=30)
    story.came_in(1)
    move = {"adjuster": rebound(story).pk, "from_position": "12", "to_position": "14"}
    story.act("change", moves=[move])
    page = words(mine.get(url))
    assert "Front rebound, left leg: 13 Jun 26 12; 13 Jul 26 14." in mine.get(url).content.decode()
    assert "Only 2 figures: too few to tell a course from chance." in page
    assert "Last tyre pressure off track One figure so far" in page
    assert "Pace of the quickest session Nothing was written down yet." in page
    assert "Over the seasons" not in words(mine.get(reverse("portal:day", args=[first.pk])))


def test_what_a_tyre_cost_a_session_is_its_price_over_its_outings(story, mine, cast):
    """A tyre of €180 that did one outing cost €180 a session, with two 90: by hand."""
    bike = story.entry.bike
    for off in (local(10), local(10) + timedelta(days=30, minutes=30)):
        Fitting.objects.create(
            bike=bike, kind="tyre", end="rear", name="Varsk", price_minor=18000,
            fitted_at=off - timedelta(hours=3), removed_at=off,
        )  # fmt: skip
    story.comes_back(after=30)
    clock_set(story.trackday, local(18) + timedelta(days=30))
    page = mine.get(reverse("portal:bike", args=[bike.pk])).content.decode()
    assert "What a tyre cost a session. rear: 13 Jun 26 180; 13 Jul 26 90." in page


def test_a_judgement_of_a_later_day_is_that_days(story, mine):
    story.came_in(1)
    changed(story, 12, expectation="calmer")
    first = story.entry
    story.comes_back(after=30)
    story.came_in(1)
    was = words(mine.get(reverse("portal:day", args=[first.pk])))
    story.judge("seen")
    assert words(mine.get(reverse("portal:day", args=[first.pk]))) == was
    assert "Not judged yet." in was
    page = told(story, mine)
    assert "changes made on an earlier day Front rebound, left leg from 10 out to 12 out" in page
    assert "Made on 13 June 2026. Expected Calmer. What came of it It came as expected." in page
