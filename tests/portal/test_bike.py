"""The customer's page of a bike: told in sentences, own bikes only, the same cost at any length."""

import re
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.acts.services import act_apply
from jobs.garage.models import Fitting
from jobs.setups.models import Measurement, Reading
from jobs.trackday.models import BikeMove, Entry, RunGroup, Trackday
from jobs.tuning.wear import Depth, sessions_left, wear_line
from tests.days import day_build, local
from tests.queries import page_queries


@pytest.fixture
def day(cast):
    return day_build(
        bikes=2, at=local(9, 40), customers=[cast.customer_a.customer, cast.customer_b.customer]
    )


@pytest.fixture
def mine(signed_in, customer_a):
    return signed_in(customer_a)


def do(day, by, kind, **payload):
    act = act_apply(
        act_id=uuid.uuid4(), kind=kind, payload=payload, by=by, trackday=day.trackday
    )  # fmt: skip
    assert act.outcome == "applied", act.answer
    return act


def change(day, tuner, entry, to, expects=""):
    adjuster = entry.bike.adjusters.get(end="rear", function="rebound")
    count = [{"adjuster": adjuster.pk, "position": "12"}]
    do(day, tuner, "count", entry=entry.pk, counts=count)
    moves = [{"adjuster": adjuster.pk, "from_position": "12", "to_position": str(to)}]
    return do(
        day, tuner, "change", entry=entry.pk, moves=moves, reason="steps out", expectation=expects
    )


def page(client, bike):
    return client.get(reverse("portal:bike", args=[bike.pk])).content.decode()


def test_it_tells_what_was_done_why_and_what_came_of_it(day, mine, tuner):
    entry = day.entries[0]
    act = change(day, tuner, entry, 10, expects="Settles in one movement")
    told = page(mine, entry.bike)
    assert "Rear rebound from 12 out to 10 out: 2 clicks firmer." in told
    assert "<dd>Steps out.</dd>" in told
    assert "<dd>Settles in one movement.</dd>" in told
    assert "<b>Not judged yet.</b>" in told
    assert "One change was made; what came of it is not judged yet." in told
    expectation = str(uuid.uuid5(act.pk, "expectation"))
    do(day, tuner, "judgement", expectation=expectation, verdict="seen", words="calm")
    told = page(mine, entry.bike)
    assert "<b>It came as expected.</b>" in told
    assert "“calm”" in told
    assert "Rear rebound, 2 clicks firmer: it came as expected." in told
    assert "ot judged yet" not in told


def test_a_withdrawn_change_is_struck_through_and_not_told(day, mine, tuner):
    entry = day.entries[0]
    act = change(day, tuner, entry, 10)
    do(day, tuner, "withdraw", row=str(act.pk))
    told = page(mine, entry.bike)
    assert "Nothing was changed on this day." in told
    assert 'class="struck"' in told


def test_nobody_elses_bike_or_day(day, mine):
    other = day.entries[1]
    assert mine.get(reverse("portal:bike", args=[other.bike_id])).status_code == 404
    assert mine.get(reverse("portal:day", args=[other.pk])).status_code == 404
    assert mine.get(reverse("portal:day", args=[day.entries[0].pk])).status_code == 200


def test_a_bike_sold_shows_its_new_owner_and_not_the_old_one(day, mine, signed_in, customer_b):
    bike = day.entries[0].bike
    bike.owner = customer_b.customer
    bike.save(update_fields=["owner"])
    assert mine.get(reverse("portal:bike", args=[bike.pk])).status_code == 404
    assert signed_in(customer_b).get(reverse("portal:bike", args=[bike.pk])).status_code == 200


@pytest.mark.parametrize("changes", [1, 3, 60])
def test_it_costs_the_same_queries_at_any_length(day, mine, tuner, changes):
    entry = day.entries[0]
    adjuster = entry.bike.adjusters.get(end="rear", function="rebound")
    do(day, tuner, "count", entry=entry.pk, counts=[{"adjuster": adjuster.pk, "position": "12"}])
    stands = 12
    for _ in range(changes):
        to = 11 if stands == 12 else 12
        move = {"adjuster": adjuster.pk, "from_position": str(stands), "to_position": str(to)}
        do(day, tuner, "change", entry=entry.pk, moves=[move], expectation="calmer")
        stands = to
    if stands == 12:  # so that something has moved, whatever the count
        move = {"adjuster": adjuster.pk, "from_position": "12", "to_position": "11"}
        do(day, tuner, "change", entry=entry.pk, moves=[move], expectation="calmer")
    assert page_queries(mine, reverse("portal:bike", args=[entry.bike_id])) == 44


def days_before(entry, days):
    """The bike's days of the years before, ``days`` with its newest."""
    for number in range(1, days):
        trackday = Trackday.objects.create(
            name=f"Day {number}", venue=entry.trackday.venue,
            date=entry.trackday.date - timedelta(days=60 * number),
        )  # fmt: skip
        group = RunGroup.objects.create(trackday=trackday, name="A", letter="A")
        Entry.objects.create(
            trackday=trackday, group=group, bike=entry.bike, rider=entry.rider,
            payer=entry.payer, package=entry.package, number="7",
        )  # fmt: skip


@pytest.mark.parametrize(("days", "asked"), [(1, 41), (3, 43), (60, 43)])
def test_ten_years_of_days_cost_the_same_queries_and_few_bytes(day, mine, days, asked):
    """Six days a year for ten years; the page tells the last one and lists twelve before it.

    A single day has no seasons to draw, which saves two queries.
    """
    first = day.entries[0]
    days_before(first, days)
    url = reverse("portal:bike", args=[first.bike_id])
    assert page_queries(mine, url) == asked
    page = mine.get(url).content
    assert page.count(b"/my/days/") == min(days, 13)  # twelve are listed, and one can be shared
    assert (b"All days" in page) == (days == 60)
    assert len(page) < 150_000


def test_older_days_stand_on_pages_of_their_own(day, mine):
    first = day.entries[0]
    days_before(first, 60)
    listed = set()
    for number in (1, 2, 3):
        url = reverse("portal:days", args=[first.bike_id]) + f"?page={number}"
        assert page_queries(mine, url) == 8
        listed |= set(re.findall(r"/my/days/\d+/", mine.get(url).content.decode()))
    assert len(listed) == 60


def arrived(entry, by):
    BikeMove.objects.create(entry=entry, move="arrived", at=local(8), by=by)


def read_wear(entry, by, session, mm):
    """A depth read five minutes after the flag."""
    reading = Reading.objects.create(
        entry=entry, session=session, bike=entry.bike, by=by, kind="wear", end="rear",
        done_at=session.planned_end + timedelta(minutes=5),
    )  # fmt: skip
    Measurement.objects.create(
        reading=reading, name="right", value=mm, unit="mm", canonical=Decimal(mm)
    )


def test_wear_says_sessions_left_and_cost_with_its_interval(day, mine, tuner):
    """Depths 4.0 3.7 3.5 3.1 2.9 2.6: 5.71 sessions left (4.91..6.71) down to 1 mm, 16.80 each.

    The line and Fieller's interval: statsmodels, see tests/tuning (check f3).
    """
    entry = day.entries[0]
    arrived(entry, tuner)
    Fitting.objects.create(
        bike=entry.bike, end="rear", kind="tyre", name="Rondo soft", fitted_at=local(7),
        new_depth_mm="4.0", price_minor=18000,
    )  # fmt: skip
    sessions = list(entry.group.sessions.order_by("number"))
    for session, mm in zip(sessions, ("4.0", "3.7", "3.5", "3.1", "2.9", "2.6"), strict=True):
        read_wear(entry, tuner, session, mm)
    told = page(mine, entry.bike)
    assert "2.6 mm left, least at the right." in told
    assert "about 5.7 more sessions (4.9 to 6.7) down to 1 mm." in told
    assert "That is €16.80 a session." in told


def test_a_session_the_bike_did_not_go_out_in_wears_no_tyre(day, mine, tuner):
    """Four outings over six sessions of the timetable: the line is drawn over four."""
    entry = day.entries[0]
    arrived(entry, tuner)
    first, stayed_in, second, third, gone, fourth = entry.group.sessions.order_by("number")
    for session in (stayed_in, gone):
        BikeMove.objects.create(
            entry=entry, move="did_not_go_out", session=session, at=session.planned_start, by=tuner
        )
    mm = {first: 4.0, second: 3.7, third: 3.5, fourth: 3.1}
    for session, depth in mm.items():
        read_wear(entry, tuner, session, str(depth))
    line = wear_line(depths=[Depth(at, depth) for at, depth in enumerate(mm.values(), 1)])
    left = sessions_left(line=line, limit_mm=1.0, last_index=4)
    assert f"about {left.value:.1f} more sessions ({left.low:.1f} to" in page(mine, entry.bike)


def test_wear_that_says_nothing_yet_says_why(day, mine, tuner):
    entry = day.entries[0]
    read_wear(entry, tuner, day.sessions[0], "4.0")
    told = page(mine, entry.bike)
    assert "4.0 mm left" in told
    assert "more sessions" not in told
    assert "How long the tyres last" in told


def test_a_bike_without_a_day_says_so(day, mine, customer_a):
    from jobs.garage.office import bike_register

    bike = bike_register(owner=customer_a.customer, make="Corvane", model="650 R")
    assert "has not been to a trackday with us yet" in page(mine, bike)


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_my_bikes_cost_the_same_queries_at_any_size(cast, mine, bikes):
    day_build(bikes=bikes, customers=[cast.customer_a.customer])
    assert page_queries(mine, reverse("portal:everything")) == 10


def test_who_has_one_bike_is_led_to_it_and_who_has_two_chooses(cast, mine):
    first = day_build(bikes=1, customers=[cast.customer_a.customer]).entries[0].bike
    home = reverse("portal:home")
    assert mine.get(home).url == reverse("portal:bike", args=[first.pk])
    day_build(bikes=1, customers=[cast.customer_a.customer])
    assert mine.get(home).status_code == 200
