"""The readings of a day on the screens do their tasks; what cannot be is refused while typed."""

import json

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.acts.models import Act
from jobs.setups.models import Reading
from jobs.worklist.enums import TaskState
from jobs.worklist.services import checklists_load
from tests.acts.doing import do, task_now
from tests.conftest import PASSWORD
from tests.days import day_build
from tests.shape.source import ROOT

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def entry(transactional_db, cast):
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    entry = day_build(bikes=1).entries[0]
    do("arrived", cast.helper, entry.trackday, entry=entry.pk)
    return entry


@pytest.fixture
def page(person, cast):
    return person(cast.tuner.username, PASSWORD, size="tablet")


def address(entry, name, *more):
    return reverse(f"board:{name}", args=[entry.pk, *more])


def send(page, entry):
    """The panel's main button; the sheet opens again when the act was accepted."""
    page.locator("form.reading button.main").click()
    expect(page.locator("#notices")).not_to_be_empty()


def read_pressure(page, entry, end, value):
    page.goto(address(entry, "sheet-read", "pressure"))
    page.locator(f"input[name={end}-pressure]").fill(value)


def test_sheet_entries_close_their_task_and_what_cannot_be_is_refused_while_typed(page, entry):
    read_pressure(page, entry, "front", "100000")
    said = page.locator("[data-end=front] .range-words")
    expect(said).to_contain_text("not possible")
    page.locator("form.reading button.main").click()
    assert not Reading.objects.exists()
    page.locator("input[name=front-pressure]").fill("90")
    expect(said).to_contain_text("look again")
    page.locator("input[name=front-pressure]").fill("30")
    expect(said).to_have_text("")
    expect(page.locator("input[name=tyre_state][value=cold]")).to_be_checked()
    send(page, entry)
    assert task_now(entry, "cold-pressures").state == TaskState.OPEN
    read_pressure(page, entry, "rear", "29.5")
    send(page, entry)
    assert task_now(entry, "cold-pressures").state == TaskState.DONE
    page.goto(reverse("board:work", args=[entry.trackday_id, entry.pk]))
    expect(page.get_by_text("entered on the sheet")).to_have_count(1)  # under "Done"


def test_both_ends_entered_in_one_go_close_their_task_and_are_taken_back_together(
    page, entry, cast
):
    page.goto(address(entry, "sheet-read", "pressure"))
    page.locator("form.reading button.main").click()
    assert page.locator("input[name=front-pressure]").evaluate("cell => cell.validity.valueMissing")
    page.locator("input[name=front-pressure]").fill("30")
    page.locator("input[name=rear-pressure]").fill("29.5")
    send(page, entry)
    assert {row.end for row in Reading.objects.all()} == {"front", "rear"}
    assert task_now(entry, "cold-pressures").state == TaskState.DONE
    act = Act.objects.get(kind="reading")
    do("withdraw", cast.tuner, entry.trackday, row=str(act.pk))
    assert not Reading.objects.filter(withdrawn_at=None).exists()
    assert task_now(entry, "cold-pressures").state == TaskState.OPEN


def test_a_lift_below_a_push_is_caught_at_once(page, entry):
    page.goto(address(entry, "sheet-read", "sag"))
    for name, value in (("hanging", "127"), ("after_push", "101"), ("after_lift", "95")):
        page.locator(f"input[name=front-{name}]").fill(value)
    expect(page.locator(".cell.refused .range-words")).to_contain_text("swapped")
