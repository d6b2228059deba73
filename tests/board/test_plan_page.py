"""The plan for the laptop: the crew's timeline, and a delay's cost before it is confirmed."""

import re

import pytest
from django.urls import reverse

from jobs.planning import QUICK_ITERATIONS
from jobs.planning.search import Search
from jobs.trackday.models import Delay
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import do
from tests.markup import one_line
from tests.queries import page_queries

pytestmark = pytest.mark.django_db


def page(browser, day, minutes=""):
    url = reverse("board:plan", args=[day.trackday.pk])
    return browser.get(url, {"minutes": minutes} if minutes else {}).content.decode()


def test_everybody_has_a_lane_and_a_list(build, signed_in, tuner, helper):
    text = page(signed_in(tuner), build(8))
    assert text.count('class="lane"') == 2
    assert tuner.display_name in text
    assert helper.display_name in text


def test_a_delays_cost_is_shown_and_nothing_is_moved(build, signed_in, tuner):
    day = build(24)
    text = page(signed_in(tuner), day, "15")
    assert "more will not fit:" in text or "Nothing more would be missed." in text
    assert "Delay by 15 minutes" in text
    assert Delay.objects.count() == 0


def test_the_board_asks_what_a_delay_costs_before_anything_moves(
    build, signed_in, helper, monkeypatch
):  # iterations alone, no limit of seconds
    monkeypatch.setattr(
        "jobs.worklist.services.plans.PAGE_SEARCH_SECONDS", None
    )  # iterations alone
    day = build(40)
    browser = signed_in(helper)
    board = browser.get(reverse("board:day", args=[day.trackday.pk])).content.decode()
    url = reverse("board:delay", args=[day.trackday.pk])
    for minutes in (-5, 5, 10, 15):
        assert f'hx-get="{url}?minutes={minutes}"' in board
        assert f'id="delay{minutes}"' in board
    # How far a search gets in its third of a second is the machine's: no literal count.
    said = one_line(browser.get(url, {"minutes": "15"}).content.decode())
    more = int(re.search(r"<b>(\d+) tasks more will not fit:</b>", said)[1])
    by_task = re.findall(r'<b class="number">(\d+)</b>× [^<,]+', said)
    assert more == sum(map(int, by_task)) > 0
    assert Delay.objects.count() == 0


def test_less_of_a_delay_is_asked_for_too(build, signed_in, tuner):
    day = build(8)
    url = reverse("board:delay", args=[day.trackday.pk])
    assert "fit" in signed_in(tuner).get(url, {"minutes": "-5"}).content.decode()
    assert "Take 5 minutes off" in page(signed_in(tuner), day, "-5")


def test_the_cost_counts_against_the_plan_in_force(build):
    day = build(24)
    read = day_read(day.trackday)
    stored = plan_refresh(day=read)
    kept = dict(stored.slots)
    cost = delay_cost(read, stored, 15)
    assert all(str(task.id) in kept for task in cost.lost)
    assert not any(str(task.id) in kept for task in cost.saved)
    assert DayPlan.objects.get().slots == kept
    net = sum(n for _text, n in cost.more_missed) - sum(n for _text, n in cost.fewer_missed)
    assert net == len(cost.lost) - len(cost.saved)


@pytest.mark.parametrize("name", ["delay", "plan"])
def test_a_delay_asked_on_a_stale_plan_searches_no_more_than_one_page_may(
    build, signed_in, tuner, monkeypatch, name
):
    """The plan in force and the plan with the delay share one page's search."""
    day = build(24)
    plan_refresh(day=day_read(day.trackday))
    do("crew leaves", tuner, day.trackday, trackday=day.trackday.pk, user=tuner.pk)
    spent = []

    def counted(search, iterations, clock=None):
        spent.append((iterations, clock.seconds))
        return run(search, iterations, clock)

    run = Search.run
    monkeypatch.setattr(Search, "run", counted)
    monkeypatch.setattr("jobs.worklist.services.plans.PAGE_SEARCH_SECONDS", 60)
    url = reverse(f"board:{name}", args=[day.trackday.pk])
    assert signed_in(tuner).get(url, {"minutes": "15"}).status_code == 200
    assert [iterations for iterations, _seconds in spent] == [
        QUICK_ITERATIONS // 2,
        QUICK_ITERATIONS // 2,
    ]
    first, second = (seconds for _iterations, seconds in spent)
    assert first <= 30
    assert second <= 60
    spent.clear()
    signed_in(tuner).get(url, {"minutes": "15"})
    assert [iterations for iterations, _seconds in spent] == [QUICK_ITERATIONS]


@pytest.mark.parametrize("minutes", ["7", "x", "-15"])
def test_other_minutes_are_ignored(build, signed_in, tuner, minutes):
    assert "Delay by" not in page(signed_in(tuner), build(2), minutes)


def test_a_day_without_crew_says_what_to_do(build, signed_in, tuner):
    day = build(2)
    day.trackday.crew.all().delete()
    assert "say who is here under Crew" in page(signed_in(tuner), day)


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_same_queries_at_any_size(build, signed_in, tuner, bikes):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:plan", args=[day.trackday.pk])
    assert page_queries(signed_in(tuner), url) == 22
