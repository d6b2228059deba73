"""The default checklists load, once, and a day keeps the version it started with."""

import json

import pytest

from jobs.worklist.enums import Anchor, Cadence, ItemKind, OnlyIf, Skill
from jobs.worklist.models import Checklist, ChecklistItem, DayChecklist
from jobs.worklist.selectors import checklists_current, items_of_day
from jobs.worklist.services import checklist_save, checklists_load, day_checklists_keep
from tests.days import day_build
from tests.shape.source import ROOT

DEFAULTS = json.loads((ROOT / "fixtures" / "checklists.json").read_text())
pytestmark = pytest.mark.django_db


def copy_of(checklist: Checklist) -> list[ChecklistItem]:
    items = list(checklist.items.all())
    for item in items:
        item.pk = None
        item._state.adding = True
    return items


def test_the_defaults_load_once():
    assert len(checklists_load(lists=DEFAULTS)) == len(DEFAULTS)
    assert checklists_load(lists=DEFAULTS) == []
    assert Checklist.objects.count() == len(DEFAULTS)


def test_every_default_item_is_whole_and_names_only_what_exists():
    checklists_load(lists=DEFAULTS)
    for item in ChecklistItem.objects.select_related("checklist"):
        item.full_clean()
        assert item.kind in ItemKind
        assert item.cadence in Cadence
        assert item.skill in Skill
        assert item.opens_from in Anchor
        assert not item.only_if or item.only_if in OnlyIf
        assert (item.kind == ItemKind.POINTS) == bool(item.points)
        assert (item.kind == ItemKind.READING) == bool(item.readings)
    codes = set(ChecklistItem.objects.values_list("code", flat=True))
    assert {code for item in ChecklistItem.objects.all() for code in item.after} <= codes


def test_a_changed_checklist_is_a_new_version_and_a_started_day_keeps_its_own():
    checklists_load(lists=DEFAULTS)
    started, later = day_build(bikes=1).trackday, day_build(bikes=1).trackday
    day_checklists_keep(trackday=started)
    arrival = checklists_current().get(code="arrival")
    items = copy_of(arrival)
    items[0].text = "Identify the bike"
    newer = checklist_save(code="arrival", name=arrival.name, items=items)

    assert newer.version == 2
    assert "Identify, tag, photo" in [item.text for item in items_of_day(started)]
    assert "Identify the bike" in [item.text for item in items_of_day(later)]
    assert len(items_of_day(started)) == len(items_of_day(later))


def test_keeping_twice_keeps_once():
    checklists_load(lists=DEFAULTS)
    day = day_build(bikes=1).trackday
    day_checklists_keep(trackday=day)
    day_checklists_keep(trackday=day)
    assert DayChecklist.objects.filter(trackday=day).count() == len(DEFAULTS)
