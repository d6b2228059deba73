"""A bike back from its first outing, and the tuner's browser."""

import pytest

from .story import Story


@pytest.fixture
def story(cast):
    story = Story(cast)
    story.came_in(1)
    return story


@pytest.fixture
def browser(tuner, signed_in):
    return signed_in(tuner)
