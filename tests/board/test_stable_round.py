"""A round is stable: a new one is announced, never swapped under a finger."""

import re
import uuid
from types import SimpleNamespace

import pytest
from django.urls import reverse

from jobs.board.round.stable_round import shown_tasks, stable_round
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import do
from tests.markup import one_line

IDS = [uuid.uuid5(uuid.NAMESPACE_URL, str(number)) for number in range(9)]


def steps(*numbers):
    return [SimpleNamespace(task=SimpleNamespace(id=IDS[number])) for number in numbers]


def shown(before, planned, others=()):
    found = stable_round([IDS[n] for n in before], steps(*planned), steps(*others))
    return [IDS.index(step.task.id) for step in found.steps], found.changes


@pytest.mark.parametrize(
    ("before", "planned", "others", "order", "changes"),
    [
        ([1, 2, 3], [1, 2, 3], [], [1, 2, 3], 0),
        ([1, 2, 3], [2, 3, 4], [], [2, 3, 4], 0),  # one done, one opened at the end
        ([1, 2, 3], [1, 3, 2], [], [1, 2, 3], 1),
        ([1, 2, 3, 4], [4, 1, 2, 3], [], [1, 2, 3, 4], 1),
        ([1, 2, 3], [1, 5, 2, 3], [], [1, 2, 3], 1),
        ([1, 2, 3], [1, 3], [2], [1, 2, 3], 1),  # given to somebody else
        ([1, 2], [5, 2], [1], [1, 2], 2),
        ([], [1, 2], [], [1, 2], 0),
    ],
)
def test_what_stands_and_what_waits(before, planned, others, order, changes):
    assert shown(before, planned, others) == (order, changes)


def test_what_a_page_says_it_shows_is_read_leniently():
    assert shown_tasks(f"{IDS[0]},nonsense,{IDS[1]},") == [IDS[0], IDS[1]]
    assert shown_tasks("") == []


def listed(page):
    return re.search(r'name="shown" value="([^"]*)"', one_line(page))[1].split(",")


@pytest.mark.django_db
def test_a_new_order_is_announced_and_shown_when_asked_for(build, signed_in, tuner, helper):
    day = build(8)
    plan_refresh(day=day_read(day.trackday))
    browser = signed_in(helper)
    url = reverse("board:round-then", args=[day.trackday.pk, helper.pk])
    page = one_line(
        browser.get(reverse("board:round", args=[day.trackday.pk, helper.pk])).content.decode()
    )
    before = listed(page)
    hand = re.search(r'name="task" value="([^"]*)"', page)[1]
    tasks = {str(t.id): t for b in day_read(day.trackday).bikes for t in b.tasks}
    taken = next(tasks[task] for task in before if tasks[task].item.people == 1)
    what = {"entry": taken.entry.pk, "item": taken.item.pk, "session": taken.session_id}
    do("swap person", tuner, day.trackday, **what, person=tuner.pk)
    waiting = browser.get(url, {"task": hand, "shown": ",".join(before)}).content.decode()
    assert re.search(r"\d+ changes? in the round", waiting)
    assert listed(waiting) == before
    fresh = browser.get(url, {"task": hand}).content.decode()
    assert "in the round" not in fresh
    assert str(taken.id) not in listed(fresh)


@pytest.mark.django_db
def test_after_a_tick_the_next_is_the_one_that_was_shown(build, signed_in, tuner, helper):
    day = build(8)
    plan_refresh(day=day_read(day.trackday))
    browser = signed_in(helper)
    page = one_line(
        browser.get(reverse("board:round", args=[day.trackday.pk, helper.pk])).content.decode()
    )
    before, hand = listed(page), re.search(r'name="task" value="([^"]*)"', page)[1]
    tasks = {str(t.id): t for b in day_read(day.trackday).bikes for t in b.tasks}
    first, task = tasks[before[0]], tasks[hand]
    do(
        "swap person",
        tuner,
        day.trackday,
        entry=first.entry.pk,
        item=first.item.pk,
        session=first.session_id,
        person=tuner.pk,
    )
    form = {
        "act_id": str(uuid.uuid4()),
        "task": hand,
        "entry": task.entry.pk,
        "session": task.session_id or "",
        "item": task.item.pk,
        "how": "skip",
        "reason": "no time",
        "shown": ",".join(before),
    }
    answer = browser.post(
        reverse("board:tick", args=[day.trackday.pk]), form, headers={"HX-Request": "true"}
    ).content.decode()
    assert re.search(r'name="task" value="([^"]*)"', one_line(answer))[1] == before[0]
