"""Who does not come: told in Money or at the entry, known to both, once."""

import pytest
from django.urls import reverse

from jobs.people.models import Edit
from jobs.trackday.models import Entry
from jobs.worklist.selectors import day_read
from tests.acts.doing import do


def on_the_day(day) -> list[int]:
    return sorted(day_read(day.trackday).by_entry)


@pytest.mark.parametrize("page", ["money:entry", "desk:entry-edit"])
def test_told_on_either_page_both_know_it(desk, day, page):
    entry = day.entries[0]
    here = reverse(page, args=[entry.pk])
    assert "The bike does not come" in desk.get(here).content.decode()
    form = {"absence": "no_show", "next": here}
    desk.post(reverse("money:absent", args=[entry.pk]), form)
    for name in ("money:entry", "desk:entry-edit"):
        html = desk.get(reverse(name, args=[entry.pk])).content.decode()
        assert "Off the day:" in html
        assert "did not come" in html
    assert (
        "Full day: did not come, 100 %"
        in desk.get(reverse("money:entry", args=[entry.pk])).content.decode()
    )
    html = desk.get(reverse("desk:trackday", args=[day.trackday.pk])).content.decode()
    assert "did not come" in html
    assert "1 bike" in html
    assert on_the_day(day) == [day.entries[1].pk]
    response = desk.post(reverse("money:absent", args=[entry.pk]), {"next": here})
    assert response.url == here
    assert on_the_day(day) == [e.pk for e in day.entries]


def test_a_weather_day_is_one_tap_on_the_days_page(desk, day):
    form = {"absence": "weather"}
    page = desk.post(reverse("money:day-call-off", args=[day.trackday.pk]), form, follow=True)
    assert "The day is called off." in page.content.decode()
    assert on_the_day(day) == []
    assert set(Entry.objects.values_list("absence", flat=True)) == {"weather"}


def test_an_entry_made_by_mistake_is_removed_and_noted(desk, day):
    entry, billed = day.entries
    page = reverse("desk:entry-edit", args=[entry.pk])
    assert "Remove this entry" in desk.get(page).content.decode()
    desk.post(reverse("desk:entry-remove", args=[entry.pk]))
    assert list(Entry.objects.all()) == [billed]
    assert Edit.objects.get().verb == "removed"
    desk.post(reverse("money:absent", args=[billed.pk]), {"absence": "no_show"})
    page = reverse("desk:entry-edit", args=[billed.pk])
    assert "Remove this entry" not in desk.get(page).content.decode()
    answer = desk.post(reverse("desk:entry-remove", args=[billed.pk]), follow=True)
    assert "cancel it instead" in answer.content.decode()
    assert Entry.objects.get() == billed


@pytest.mark.parametrize("kind", ["arrived", "bike in"])
def test_a_bike_that_was_cancelled_and_is_here_is_on_the_day_again(desk, day, tuner, kind):
    entry = day.entries[0]
    desk.post(reverse("money:absent", args=[entry.pk]), {"absence": "no_show"})
    act = do(kind, tuner, day.trackday, entry=entry.pk)
    assert act.answer
    assert on_the_day(day) == [e.pk for e in day.entries]
    html = desk.get(reverse("money:entry", args=[entry.pk])).content.decode()
    assert "did not come" not in html.replace("does not come", "")
