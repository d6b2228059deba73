"""A bike called settled: what is kept of it, and what ends it."""

from datetime import timedelta

import pytest

from jobs.advice.models import Settlement
from jobs.advice.selectors import settled_state_of
from jobs.garage.models import Fitting

from ..days import local
from .story import Story, settle

pytestmark = pytest.mark.django_db


def fitted(story, kind, name):
    return Fitting.objects.create(
        bike=story.entry.bike, kind=kind, end="front", name=name,
        fitted_at=local(12) + timedelta(hours=1),
    )  # fmt: skip


def reopened(story):
    return [reason.trigger.value for reason in settled_state_of(story.basis()).reopened]


@pytest.mark.parametrize(("wet", "kind"), [(True, "wet"), (False, "dry"), (None, "dry")])
def test_the_weather_is_kept_and_names_the_kind_of_setup(cast, wet, kind):
    settle(Story(cast), wet=wet)
    kept = Settlement.objects.get()
    assert (kept.wet, kept.kept.kind) == (wet, kind)


def test_only_what_was_settled_and_not_reopened_stands(cast):
    story = Story(cast)
    story.came_in(1)
    assert not settled_state_of(story.basis()).stands
    settle(story)
    assert settled_state_of(story.basis()).stands
    fitted(story, "tyre", "Varsk Reed 120")
    assert not settled_state_of(story.basis()).stands


def test_each_part_fitted_since_is_called_what_it_is(cast):
    story = settle(Story(cast))
    fitted(story, "spring", "9.5 N/mm")
    (reason,) = settled_state_of(story.basis()).reopened
    assert "9.5 N/mm" in reason.words
    parts = reason.trigger.value
    fitted(story, "tyre", "Varsk Reed 120")
    tyre, *_ = [one for one in reopened(story) if one != parts]
    assert tyre != parts


def test_a_hold_for_something_else_than_a_crash_ends_nothing(cast):
    story = settle(Story(cast))
    story.came_in(3)
    story.act("hold", words="chain is tight")
    assert reopened(story) == []
    story.act("crash", words="went down at turn 3")
    assert len(reopened(story)) == 1
