"""The small drawings of where something was seen."""

import pytest

from jobs.plots import places


def test_one_part_of_the_tread_is_filled_or_all_of_it():
    assert places.tyre_place("left", alt="left").count('class="here"') == 1
    assert places.tyre_place("", alt="tyre").count('class="here"') == 3


@pytest.mark.parametrize("part", places.CORNER)
def test_one_part_of_the_corner_is_strong(part):
    assert places.corner_place(part, alt=part).count("way here") == 1


def test_an_unknown_place_is_refused():
    with pytest.raises(ValueError, match="no such place on a tyre"):
        places.tyre_place("top", alt="top")
    with pytest.raises(ValueError, match="no such part of a corner"):
        places.corner_place("pit", alt="pit")


def test_one_wheel_is_filled_or_both():
    assert places.wheel_place("front", alt="front").count('class="here"') == 1
    assert places.wheel_place("", alt="bike").count('class="here"') == 2
