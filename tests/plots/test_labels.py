"""Labels do not overlap and stay as near as possible to their wanted positions."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.plots.labels import Span, fitting, spread
from jobs.plots.scales import Linear, nice_step, padded, round_ticks

places = st.lists(st.floats(0, 100), min_size=1, max_size=7)


@given(places)
def test_labels_never_collide_and_never_leave_the_plot(wanted):
    found = spread(wanted, gap=14, low=0, high=100)
    assert all(-1e-9 <= place <= 100 + 1e-9 for place in found)
    assert all(b - a >= 14 - 1e-6 for a, b in pairwise(sorted(found)))


@given(places)
def test_labels_keep_the_order_of_their_lines(wanted):
    found = spread(wanted, gap=14, low=0, high=100)
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    assert [found[index] for index in order] == sorted(found)


def test_labels_that_have_room_stay_where_they_are():
    assert spread([10, 40, 80], gap=14, low=0, high=100) == [10, 40, 80]


def test_two_labels_at_one_position_are_moved_equally():
    assert spread([50, 50], gap=14, low=0, high=100) == [43, 57]


def test_too_many_labels_share_the_room_they_have():
    assert spread([50] * 6, gap=30, low=0, high=100) == [0, 20, 40, 60, 80, 100]


def test_places_are_the_least_squares_ones():
    """Against scipy's own solver for the same constrained problem (scipy 1.18)."""
    optimize = pytest.importorskip("scipy.optimize")
    wanted = [20.0, 22.0, 25.0, 60.0]
    solved = optimize.minimize(
        lambda x: sum((a - b) ** 2 for a, b in zip(x, wanted, strict=True)),
        x0=[0, 30, 60, 90],
        constraints=[
            {"type": "ineq", "fun": lambda x, i=i: x[i + 1] - x[i] - 14} for i in range(3)
        ],
    )
    assert spread(wanted, gap=14, low=0, high=100) == pytest.approx(list(solved.x), abs=1e-3)


def test_axis_labels_keep_first_and_last_and_drop_what_would_touch():
    spans = [
        Span(middle, 30, words) for middle, words in zip(range(0, 100, 20), "abcde", strict=True)
    ]
    assert [span.words for span in fitting(spans)] == ["a", "c", "e"]


def test_a_last_label_without_room_is_left_out():
    assert [s.words for s in fitting([Span(0, 40, "a"), Span(10, 40, "b")])] == ["a"]


@pytest.mark.parametrize(
    ("span", "about", "step"), [(20, 4, 5), (10, 5, 2), (1, 4, 0.5), (0.9, 4, 0.5), (37, 4, 10)]
)
def test_round_steps(span, about, step):
    assert nice_step(span, about) == step


def test_round_ticks_stay_inside():
    assert round_ticks(9.2, 20.5) == [10, 15, 20]


def test_a_flat_line_still_has_a_domain():
    assert padded([12], least=2) == (11, 13)


def test_a_scale_without_width_is_refused():
    with pytest.raises(ValueError, match="low < high"):
        Linear(3, 3, 0, 10)
