"""The ruler shows the clicks that a person counts, with the closed end at the left."""

import re

import pytest

from jobs.plots.ruler import MARGIN, WIDTH, Ruler, ruler

from .drawing import of_class, read, words


def drawn(**changes):
    values = {
        "low": 0,
        "high": 20,
        "step": 1,
        "left_words": "closed, firm",
        "right_words": "20, soft",
    }
    return read(ruler(Ruler(**{**values, **changes}), alt="Rear rebound 11 out"))


def now_x(root):
    return float(re.match(r"M([\d.]+)", of_class(root, "now")[0].get("d"))[1])


def tick_places(root):
    return [float(x) for x in re.findall(r"M([\d.]+)", of_class(root, "tick")[0].get("d"))]


def test_every_click_has_one_tick():
    assert len(tick_places(drawn())) == 21


def test_closed_is_left_and_each_end_has_its_words():
    root = drawn(now=0)
    assert now_x(root) == MARGIN
    assert words(root) == ["closed, firm", "20, soft"]


def test_counted_from_open_keeps_closed_left():
    root = drawn(now=20, closed_high=True, left_words="closed, 20", right_words="open, 0")
    assert now_x(root) == MARGIN
    assert now_x(drawn(now=0, closed_high=True)) == WIDTH - MARGIN


def test_the_position_before_is_a_ring_with_an_arc_to_the_new_one():
    root = drawn(now=11, was=14)
    assert [one.tag for one in of_class(root, "was")] == ["circle"]
    assert len(of_class(root, "way")) == 1
    assert float(of_class(root, "was")[0].get("cx")) > now_x(root)


def test_unmoved_has_no_ring():
    root = drawn(now=11, was=11)
    assert of_class(root, "was") == of_class(root, "way") == []


def test_uncounted_shows_no_mark():
    assert of_class(drawn(), "now") == []


def test_quarter_turns_are_ticks_and_whole_turns_long():
    root = drawn(high=4, step=0.25, now=1.5)
    path = of_class(root, "tick")[0].get("d")
    assert len(tick_places(root)) == 17
    assert path.count(" 14V") == 5


def test_a_position_past_the_counted_end_is_seen_past_a_heavier_end():
    root = drawn(now=22)
    assert now_x(root) == WIDTH - MARGIN
    assert len(of_class(root, "edge")) == 1
    assert tick_places(root)[-1] < WIDTH - MARGIN


def test_a_pressure_has_round_ticks_not_one_for_each_kilopascal():
    root = drawn(low=50, high=400, step=1, now=170)
    assert len(tick_places(root)) < 60


def test_a_mode_names_its_positions():
    assert words(drawn(high=3, labels=("Rain", "Road", "Sport", "Race"))) == [
        "Rain",
        "Road",
        "Sport",
        "Race",
    ]


def test_words_are_escaped():
    assert "<b>" not in ruler(
        Ruler(low=0, high=2, step=1, left_words="<b>", right_words=""), alt='a "b" <c>'
    )


def test_a_picture_without_a_text_alternative_is_refused():
    with pytest.raises(ValueError, match="text alternative"):
        ruler(Ruler(low=0, high=2, step=1, left_words="", right_words=""), alt=" ")
