"""Who does what next where there is no plan: dealt by rank to whoever is free and has the skill."""

import json

import pytest

from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove
from jobs.trackday.services import crew_join
from jobs.worklist.rounds import rounds
from jobs.worklist.selectors import day_read
from jobs.worklist.services import checklists_load
from tests.days import day_build, local
from tests.shape.source import ROOT

pytestmark = pytest.mark.django_db


@pytest.fixture
def arriving(cast):
    """``arriving(bikes)``: so many bikes just arrived, each to be checked in 5 minutes."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))

    def of(bikes, *crew):
        day = day_build(bikes=bikes)
        for user in crew:
            crew_join(trackday=day.trackday, user=user)
        BikeMove.objects.bulk_create(
            BikeMove(entry=entry, move=Move.ARRIVED, at=local(8), by=cast.helper)
            for entry in day.entries
        )
        return {
            one.person: [step.task.item.code for step in one.now]
            for one in rounds(day_read(day.trackday))
        }

    return of


def test_helpers_work_is_left_to_the_helper(arriving, tuner, helper):
    assert arriving(2, tuner, helper) == {tuner: [], helper: ["safety"] * 2}


def test_a_tuner_takes_helpers_work_once_more_than_ten_minutes_of_it_wait(arriving, tuner, helper):
    assert arriving(6, tuner, helper) == {tuner: ["safety"] * 2, helper: ["safety"] * 4}


def test_a_tuner_alone_does_helpers_work(arriving, tuner):
    assert arriving(2, tuner) == {tuner: ["safety"] * 2}
