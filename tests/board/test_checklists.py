"""The editor of checklists: every save is the next version, mistakes are named."""

import pytest
from django.urls import reverse

from jobs.worklist.models import Checklist, ChecklistItem, DayChecklist
from jobs.worklist.selectors import items_of_day
from tests.days import day_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(signed_in, office):
    browser = signed_in(office)
    browser.post(reverse("board:checklists"))
    return browser


def fields(item: ChecklistItem, **changed):
    form = {
        name: getattr(item, name)
        for name in (
            "text", "help", "kind", "cadence", "before_session", "only_if", "opens_from",
            "opens_minutes", "closes_from", "closes_minutes", "minutes", "people", "skill",
            "miss_cost", "order", "after",
        )
    }  # fmt: skip
    form["points_text"] = "\n".join(point["text"] for point in item.points)
    form["readings_asked"] = [
        f"{r['kind']} {r['end']} {r.get('tyre_state', '')}".strip() for r in item.readings
    ]
    for name in ("safety", "must_start", "rider_needed", "for_advice"):
        if getattr(item, name):
            form[name] = "on"
    return {**form, **changed}


def current(code: str) -> ChecklistItem:
    return ChecklistItem.objects.get(code=code, checklist__retired_at=None)


def save(desk, code: str, **changed):
    item = current(code)
    url = reverse("board:checklist-item", args=[item.checklist.code, code])
    return desk.post(url, fields(item, **changed), follow=True).content.decode()


def test_without_checklists_the_defaults_are_offered(signed_in, office):
    page = signed_in(office).get(reverse("board:checklists")).content.decode()
    assert "Load the default checklists" in page


def test_saving_without_a_change_makes_no_version(desk):
    assert "Nothing was changed." in save(desk, "safety")
    assert not Checklist.objects.filter(version=2).exists()


def test_a_changed_item_is_the_next_version_and_a_begun_day_keeps_its_own(desk):
    day = day_build(bikes=1).trackday
    DayChecklist.objects.create(
        trackday=day, checklist=Checklist.objects.get(code="arrival", retired_at=None)
    )
    assert "Saved as version 2" in save(desk, "safety", minutes=7)
    assert current("safety").minutes == 7
    assert items_of_day(day).get(code="safety").minutes == 5


def test_a_point_keeps_its_code_while_its_text_stays(desk):
    before = current("pre-grid").points
    lines = [point["text"] for point in before] + ["Mirrors off"]
    save(desk, "pre-grid", points_text="\n".join(lines))
    after = current("pre-grid").points
    assert after[: len(before)] == before
    assert after[-1]["text"] == "Mirrors off"


def test_an_item_is_added_and_taken_off(desk):
    url = reverse("board:checklist-item-new", args=["between"])
    item = current("ring")
    desk.post(url, fields(item, text="Wear photos", kind="tick", readings_asked=[]))
    assert current("wear-photos").checklist.version == 2
    desk.post(url, fields(item, text="Wear photos", kind="tick", readings_asked=[]))
    assert current("wear-photos-2").checklist.version == 3
    desk.post(reverse("board:checklist-remove", args=["between", "wear-photos"]))
    assert not ChecklistItem.objects.filter(code="wear-photos", checklist__retired_at=None).exists()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"kind": "points", "points_text": ""}, "Write at least one point."),
        ({"kind": "reading", "readings_asked": []}, "Choose at least one reading."),
        ({"minutes": 0}, "at least a minute"),
        ({"opens_from": "roll", "opens_minutes": -6}, "The window is 1 min long"),
    ],
)
def test_mistakes_are_named_and_nothing_is_saved(desk, changed, words):
    assert words in save(desk, "safety", **changed)
    assert not Checklist.objects.filter(version=2).exists()


def test_a_helper_does_not_edit_checklists(signed_in, helper, db):
    assert signed_in(helper).get(reverse("board:checklists")).status_code == 403
