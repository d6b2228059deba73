"""The strip: lanes, the now line, and what is left of a turnaround."""

import re

from jobs.plots.strip import Bar, BarState, Lane, Turnaround, strip

from .drawing import of_class, read, words


def day(**changes):
    values = {
        "start": 540,
        "end": 1020,
        "now": 700.0,
        "hours": [(540 + 60 * h, f"{9 + h:02}:00") for h in range(9)],
        "alt": "the day",
    }
    lanes = [
        Lane("A", [Bar(540, 558, BarState.DONE, "1"), Bar(690, 710, BarState.RUNNING, "2")]),
        Lane("B", [Bar(560, 578, BarState.DONE), Bar(720, 738, BarState.CANCELLED)]),
    ]
    return read(strip(lanes, **{**values, **changes}))


def ends(path):
    return [float(x) for x in re.findall(r"[MH]([\d.]+)", path.get("d"))]


def test_each_session_is_a_bar_with_a_class_for_its_state():
    root = day()
    assert [len(of_class(root, state)) for state in ("done", "running", "cancelled")] == [3, 2, 1]


def test_a_cancelled_session_is_struck_through():
    assert len(of_class(day(), "struck")) == 1


def test_the_turnaround_left_is_drawn_from_now_to_the_roll():
    root = day(turnaround=Turnaround(lane=1, start=680, end=720))
    gone, rest = of_class(root, "gone")[0], of_class(root, "turnaround")[0]
    assert ends(gone)[1] == ends(rest)[0]
    assert ends(rest)[1] > ends(rest)[0]


def test_a_turnaround_that_is_over_is_not_drawn():
    assert of_class(day(turnaround=Turnaround(0, 600, 650)), "turnaround") == []


def test_without_a_now_there_is_no_line():
    assert of_class(day(now=None), "now-line") == []


def test_hours_that_would_touch_are_dropped_on_a_narrow_strip():
    shown = [word for word in words(day(width=240.0)) if ":" in word]
    assert 2 <= len(shown) < 9
    assert shown[0] == "09:00"


def test_a_moved_session_shows_when_it_was_planned():
    moved = Bar(600, 618, BarState.PLANNED, "1", planned=(585, 603))
    root = read(strip([Lane("A", [moved])], start=540, end=1020, now=None, hours=[], alt="the day"))
    bar, was = of_class(root, "bar")[0], of_class(root, "was")[0]
    left, right = ends(was)
    assert left < float(bar.get("x")) < right
    assert abs((right - left) - float(bar.get("width"))) < 0.2


def test_a_session_on_time_has_no_second_line():
    assert of_class(day(), "was") == []
