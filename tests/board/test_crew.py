"""The crew page: from when to when somebody is here, and lunch in turns."""

import pytest
from django.urls import reverse

from jobs.trackday.models import CrewDay, Trackday
from jobs.trackday.selectors import trackday_times
from tests.acts.doing import clock_set, do
from tests.days import local
from tests.queries import page_queries

pytestmark = pytest.mark.django_db


def url(day, name="crew"):
    return reverse(f"board:{name}", args=[day.trackday.pk])


def test_times_typed_as_on_the_wall_are_kept_and_shown(day, signed_in, tuner, helper):
    browser, member = signed_in(tuner), CrewDay.objects.get(user=helper)
    form = {"member": member.pk, "leaves": "15:00", "lunch": "12:15", "minutes": "40"}
    assert browser.post(url(day), form).status_code == 302
    member.refresh_from_db()
    assert (member.joins_at, member.leaves_at) == (None, local(15))
    assert (member.lunch_from, member.lunch_to) == (local(12, 15), local(12, 55))
    page = browser.get(url(day)).content.decode()
    assert "lunch 12:15–12:55" in page
    assert "leaves at 15:00" in page
    assert 'value="12:15' in page


def test_what_was_typed_wrong_stays_open_with_its_error(day, signed_in, tuner, helper):
    member = CrewDay.objects.get(user=helper)
    page = signed_in(tuner).post(url(day), {"member": member.pk, "leaves": "25:00"})
    assert "Enter a valid time." in page.content.decode()
    assert CrewDay.objects.get(user=helper).leaves_at is None


def test_lunch_in_turns_in_one_go(day, signed_in, helper):
    form = {"member": "lunches", "start": "12:00", "end": "13:00", "minutes": "30"}
    page = signed_in(helper).post(url(day), form, follow=True).content.decode()
    assert "Lunch: Tess 12:00, Hal 12:00." in page


def test_lunch_in_turns_starts_from_lunch_as_it_is_expected(day, signed_in, tuner):
    """Planned 12:00 to 13:00, half an hour at least. The day is 10 minutes late: lunch begins
    later and ends as planned."""
    Trackday.objects.filter(pk=day.trackday.pk).update(
        lunch_from=local(12), lunch_to=local(13), lunch_least_minutes=30
    )
    page = signed_in(tuner).get(url(day)).content.decode()
    assert ('value="12:00' in page, 'value="13:00' in page) == (True, True)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=10)
    starts, ends = trackday_times(Trackday.objects.get(pk=day.trackday.pk)).lunch
    assert (starts, ends) == (local(12, 10), local(13))
    page = signed_in(tuner).get(url(day)).content.decode()
    assert ('value="12:10' in page, 'value="12:00' in page) == (True, False)


def test_who_leaves_later_is_here_until_then(day, signed_in, tuner, helper):
    who = {"trackday": day.trackday.pk, "user": helper.pk}
    do("crew times", tuner, day.trackday, **who, leaves_at=local(15).isoformat())
    assert "Who else is here?" not in signed_in(tuner).get(url(day)).content.decode()
    clock_set(day.trackday, local(15, 1))
    page = signed_in(tuner).get(url(day)).content.decode()
    assert "Who else is here?" in page
    assert "left at 15:00" in page


def test_board_and_round_say_who_is_at_lunch(day, signed_in, tuner, helper):
    times = {"lunch_from": local(9, 30).isoformat(), "lunch_to": local(10).isoformat()}
    do("crew times", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk, **times)
    assert "at lunch until 10:00, then:" in signed_in(tuner).get(url(day, "day")).content.decode()
    shown = reverse("board:round", args=[day.trackday.pk, helper.pk])
    assert "Lunch until 10:00" in signed_in(helper).get(shown).content.decode()
    assert ">lunch</text>" in signed_in(tuner).get(url(day, "plan")).content.decode()


@pytest.mark.parametrize("bikes", [1, 60])
def test_the_same_queries_at_any_size(build, signed_in, tuner, bikes):
    assert page_queries(signed_in(tuner), url(build(bikes))) == 8
