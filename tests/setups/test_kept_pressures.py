"""A kept setup holds the pressures that were read, each with the state of its tyre."""

import pytest

from jobs.setups.models import KeptSetup, Reading
from jobs.setups.selectors import kept_setups_of_bike, pressures_kept
from tests.advice.story import Story

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    return Story(cast)


def kept(story):
    story.act("keep", kind="dry")
    (setup,) = kept_setups_of_bike(KeptSetup.objects.get().bike)
    return pressures_kept(setup)


def test_the_newest_of_each_end_and_state_is_kept(story):
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="29.5")
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="30")
    story.read("pressure", "rear", "bar", tyre_state="cold", pressure="1.9")
    story.came_in(1)
    story.read("pressure", "front", "psi", tyre_state="track", pressure="33.5")
    assert kept(story) == {
        "front": "30 psi cold, 33.5 psi off track",
        "rear": "1.9 bar cold",
    }


def test_a_reading_withdrawn_later_is_no_longer_told(story):
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="30")
    assert kept(story) == {"front": "30 psi cold"}
    story.act("withdraw", row=str(KeptSetup.objects.get().readings.get().reading_id))
    (setup,) = kept_setups_of_bike(KeptSetup.objects.get().bike)
    assert pressures_kept(setup) == {}


def test_without_a_pressure_nothing_is_kept_of_it(story):
    assert kept(story) == {}


def test_a_reading_withdrawn_before_gives_way_to_the_one_before_it(story):
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="30")
    story.read("pressure", "front", "psi", tyre_state="cold", pressure="39")
    wrong = Reading.objects.get(measurements__value=39)
    story.act("withdraw", row=str(wrong.pk))
    assert kept(story) == {"front": "30 psi cold"}
