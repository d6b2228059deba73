"""The board says what is true now, and its taps are acts."""

import uuid

import pytest
from django.urls import reverse

from jobs.acts.models import Act
from jobs.trackday.models import Delay, Entry
from tests.acts.doing import clock_set, do, task_now, tick
from tests.days import day_build, local

pytestmark = pytest.mark.django_db


def board(browser, day) -> str:
    return browser.get(reverse("board:day", args=[day.trackday.pk])).content.decode()


def post(browser, day, **fields):
    url = reverse("board:do", args=[day.trackday.pk])
    return browser.post(
        url, {"act_id": str(uuid.uuid4()), **fields}, headers={"HX-Request": "true"}
    )


def test_today_leads_to_the_day(day, signed_in, helper):
    response = signed_in(helper).get(reverse("board:today"))
    assert response.url == reverse("board:day", args=[day.trackday.pk])


def test_without_a_day_it_says_what_to_do(signed_in, helper):
    assert "add it in the desk" in signed_in(helper).get(reverse("board:today")).content.decode()


def test_bikes_stand_by_group_in_the_order_they_roll(day, signed_in, tuner):
    page = board(signed_in(tuner), day)
    places = [
        page.index(words) for words in ("C is out, in 09:58", "D rolls 10:00", "A rolls 10:20")
    ]
    assert places == sorted(places)


def test_a_delay_tap_moves_the_times_and_says_so(day, signed_in, helper):
    answer = post(signed_in(helper), day, kind="delay", minutes="15", trackday=day.trackday.pk)
    page = answer.content.decode()
    assert "D rolls 10:15" in page
    assert "running 15 min late" in page
    assert "Everything not yet started is moved by 15 minutes." in page


def test_a_double_tap_is_one_act(day, signed_in, helper):
    browser, same = signed_in(helper), str(uuid.uuid4())
    for _ in range(2):
        post(browser, day, kind="delay", minutes="5", trackday=day.trackday.pk, act_id=same)
    assert Delay.objects.count() == 1


def test_an_act_that_is_refused_says_why(day, signed_in, helper):
    answer = post(signed_in(helper), day, kind="bike in", entry="999")
    assert "this bike is not entered here" in answer.content.decode()


def test_an_unknown_act_is_kept_and_refused(day, signed_in, helper):
    post(signed_in(helper), day, kind="fly")
    assert Act.objects.get(kind="fly").outcome == "refused"


def test_a_held_bike_is_seen_first_and_never_more_than_held(day, signed_in, helper, tuner):
    entry = day.entries[0]
    do("hold", helper, day.trackday, entry=entry.pk, words="front wheel bearing has play")
    page = board(signed_in(tuner), day)
    first = page[page.index("See first") : page.index("In the order they roll")]
    assert "front wheel bearing has play" in first
    assert "by Hal: release it, or send the bike home" in first


def test_a_held_bike_that_is_out_is_an_alert(day, signed_in, helper, tuner):
    entry = day.entries[3]
    do("hold", helper, day.trackday, entry=entry.pk, words="loose caliper")
    clock_set(day.trackday, local(10, 2))
    do("bike out", helper, day.trackday, entry=entry.pk)
    assert "4 D is out though it is held: loose caliper" in board(signed_in(tuner), day)


def test_two_bikes_with_one_number_are_told_apart(day, signed_in, tuner):
    Entry.objects.filter(pk__in=[day.entries[0].pk, day.entries[1].pk]).update(number="7")
    page = board(signed_in(tuner), day)
    assert "…\u20600001" in page
    assert "…\u20600002" in page


def test_the_board_says_who_is_on_which_bike(day, signed_in, helper, tuner):
    entry = day.entries[3]
    count = task_now(entry, "count").item.pk
    do("start task", helper, day.trackday, entry=entry.pk, item=count)
    page = board(signed_in(tuner), day)
    lane = page[page.index("C is out") : page.index("Will not fit")]
    crew = page[page.index("The crew, now and next") :]
    assert "Hal on it" not in page.split("In the order they roll", 1)[0]
    assert lane.count("Hal on it") == 1
    assert "on it since 09:45" in crew
    tick("count", helper, entry, counts=[])
    assert "Hal on it" not in board(signed_in(tuner), day)


def test_a_moved_session_shows_its_planned_time_on_the_strip(day, signed_in, tuner):
    assert 'class="was"' not in board(signed_in(tuner), day)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=10)
    assert 'class="was"' in board(signed_in(tuner), day)


def test_the_office_looks_on_without_taps(day, signed_in, office):
    page = board(signed_in(office), day)
    assert 'name="minutes"' not in page
    assert reverse("board:work", args=[day.trackday.pk, day.entries[0].pk]) not in page
    assert reverse("board:sheet", args=[day.entries[0].pk]) in page


def test_no_money_on_a_helpers_screens(day, signed_in, helper):
    browser = signed_in(helper)
    for url in (
        reverse("board:day", args=[day.trackday.pk]),
        reverse("board:my-round"),
        reverse("board:work", args=[day.trackday.pk, day.entries[0].pk]),
    ):
        page = browser.get(url).content.decode()
        assert "€" not in page
        assert "@" not in page.split("<main", 1)[1]


def test_only_a_tuner_is_offered_the_release(day, signed_in, helper, tuner):
    entry = day.entries[0]
    do("hold", helper, day.trackday, entry=entry.pk, words="leak")
    url = reverse("board:work", args=[day.trackday.pk, entry.pk])
    assert "Release this hold" not in signed_in(helper).get(url).content.decode()
    assert "Release this hold" in signed_in(tuner).get(url).content.decode()


def test_a_walk_up_leads_to_the_bike(day, signed_in, helper):
    url = reverse("board:walk-up", args=[day.trackday.pk])
    fields = {"number": "99", "group": day.groups[3].pk, "name": "Wim", "package": day.package.pk}
    response = signed_in(helper).post(url, fields)
    entry = Entry.objects.get(number="99")
    assert response.url == reverse("board:work", args=[day.trackday.pk, entry.pk])


def test_weather_is_entered_once_with_a_comma_too(day, signed_in, helper):
    url = reverse("board:conditions", args=[day.trackday.pk])
    signed_in(helper).post(url, {"track_c": "31,5", "air_c": "19", "wet": ""})
    assert "track 31.5 °C, air 19 °C, dry" in board(signed_in(helper), day)


@pytest.mark.parametrize("tool", ["timetable", "conditions", "crew", "walk-up"])
def test_every_tool_opens(day, signed_in, helper, tool):
    assert (
        signed_in(helper).get(reverse(f"board:{tool}", args=[day.trackday.pk])).status_code == 200
    )


def test_a_session_is_added_at_the_venues_own_time(day, signed_in, helper):
    url = reverse("board:timetable", args=[day.trackday.pk])
    fields = {"form": "session", "group": day.groups[0].pk, "start": "18:00", "minutes": "15"}
    signed_in(helper).post(url, fields)
    assert day.groups[0].sessions.get(added=True).planned_start == local(18)


def test_the_days_of_one_event_lead_to_one_another(day, signed_in, helper):
    other = day_build(bikes=1).trackday
    for trackday, date in ((day.trackday, "2026-06-13"), (other, "2026-06-14")):
        trackday.event, trackday.date = "Summer weekend", date
        trackday.save(update_fields=["event", "date"])
    page = board(signed_in(helper), day)
    assert "Saturday 13 Jun" in page
    assert reverse("board:day", args=[other.pk]) in page


def test_an_outing_inherits_the_conditions_it_began_in(day, signed_in, tuner):
    for hour, track in ((8, "18"), (9, "24")):
        clock_set(day.trackday, local(hour, 30))
        do("conditions", tuner, day.trackday, trackday=day.trackday.pk, track_c=track)
    clock_set(day.trackday, local(10, 45))
    url = reverse("board:work", args=[day.trackday.pk, day.entries[0].pk])
    page = signed_in(tuner).get(url).content.decode()
    outings = page.split("Outings</h2>", 1)[1].split("</ul>", 1)[0]
    assert outings.index("A 2") < outings.index("A 1")
    assert outings.index("track 24 °C") < outings.index("track 18 °C")
