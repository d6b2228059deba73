"""A day with the default checklists, for tests of what is done on it."""

import json

import pytest

from jobs.worklist.services import checklists_load
from tests.days import Day, day_build
from tests.shape.source import ROOT


@pytest.fixture
def day(db: None) -> Day:
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    return day_build(bikes=4)
