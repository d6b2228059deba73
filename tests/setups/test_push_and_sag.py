"""The push test in a tuner's words, sag as sag, and lengths that are the wrong way round."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.setups import sentences, services
from jobs.setups.models import Reading
from jobs.setups.services.readings import Value
from tests.advice.story import Story

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    return Story(cast)


def lengths(**given):
    return [Value(name, Decimal(str(value)), "mm") for name, value in given.items()]


def table(kind):
    row = Reading.objects.get(kind=kind)
    return sentences.short(kind, row.measurements.all())


def test_sag_is_told_as_sag_with_the_readings_behind_it(story):
    """Sag 127 - (95 + 101) / 2 = 29; free 127 - 103 = 24."""
    story.read("sag", "rear", "mm", hanging=127, after_push=95, after_lift=101, free=103)
    assert table("sag") == "29 / free 24 mm (127 · 95 · 101)"


def test_without_a_free_reading_none_is_told(story):
    story.read("sag", "rear", "mm", hanging=127, after_push=94, after_lift=101)
    assert table("sag") == "29.5 mm (127 · 94 · 101)"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"hanging": 127, "after_push": 101, "after_lift": 95}, "swapped"),
        ({"hanging": 90, "after_push": 95, "after_lift": 101}, "swapped"),
        ({"hanging": 127, "after_push": 95, "after_lift": 101, "free": 140}, "swapped"),
    ],
)
def test_lengths_the_wrong_way_round_are_refused(story, given, words):
    done = pytest.raises(ValidationError, match=words)
    with done:
        services.reading_take(
            origin=_origin(story), bike=story.entry.bike, kind="sag", end="rear",
            values=lengths(**given),
        )  # fmt: skip
    assert not Reading.objects.exists()


def test_a_millimetre_is_read_no_finer(story):
    story.read("sag", "rear", "mm", hanging=127, after_push=95, after_lift=94)
    assert Reading.objects.count() == 1


def test_a_push_of_a_cooled_end_says_that_it_will_be_quicker(story):
    values = [{"name": "slow", "on": True}, {"name": "swings", "value": "0", "unit": "count"}]
    done = story.act("reading", kind="push", end="rear", values=values)
    assert "on track it comes up quicker" in done.answer["text"]
    assert table("push") == "0 passes, comes up slowly"


def _origin(story):
    import uuid

    from jobs.setups.origin import RowOrigin

    return RowOrigin(
        id=uuid.uuid4(), by=story.tuner, done_at=story.trackday.clock_anchor, entry=story.entry
    )
