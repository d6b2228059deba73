"""Step plots, lines with intervals, small multiples: what they draw and what they say."""

import re
from itertools import pairwise

import pytest

from jobs.plots.axes import PlotSeries
from jobs.plots.lines import line_plot
from jobs.plots.multiples import Panel, small_multiples
from jobs.plots.share import share
from jobs.plots.steps import step_plot

from .drawing import of_class, read, words

MARKS = [(0, "08:10"), (1, "09:25"), (2, "10:44")]
REBOUND = PlotSeries("Rebound", [(0, 14), (1, 14), (2, 11)])


def test_a_step_runs_level_then_straight():
    path = of_class(read(step_plot([REBOUND], title="Rear", marks=MARKS)), "line")[0].get("d")
    assert re.sub(r"[\d. ]+", "", path) == "MHVHVH"


def test_the_text_alternative_of_a_step_plot_names_its_points():
    root = read(step_plot([REBOUND], title="Rear", marks=MARKS))
    assert root.get("aria-label") == "Rear. Rebound: 08:10 14; 09:25 14; 10:44 11."


def test_line_names_do_not_overlap():
    lines = [PlotSeries(f"line {n}", [(0, 10), (2, 10 + n / 50)]) for n in range(4)]
    root = read(step_plot(lines, title="t", marks=MARKS))
    heights = sorted(float(one.get("y")) for one in of_class(root, "name"))
    assert all(b - a >= 13.9 for a, b in pairwise(heights))


def test_nothing_to_draw_is_said():
    with pytest.raises(ValueError, match="nothing to draw"):
        step_plot([], title="t", marks=[])


def test_one_single_point_is_a_plot():
    assert of_class(read(step_plot([PlotSeries("a", [(0, 12)])], title="t", marks=[])), "dot")


def test_an_interval_is_a_band_around_its_line_and_said_in_words():
    root = read(
        line_plot(
            [PlotSeries("Depth", [(0, 4.0), (1, 3.7), (2, 3.5)])],
            title="Wear",
            marks=MARKS,
            unit="mm",
            joined=False,
            fitted=[(0, 4), (10, 1.2)],
            band=[(0, 3.9, 4.1), (10, 0.9, 1.5)],
            levels=[(1.0, "limit 1 mm")],
        )
    )
    band = of_class(root, "band")[0].get("d")
    assert band.count("L") == 3
    assert of_class(root, "line") == []
    assert len(of_class(root, "fitted")) == 1
    assert "limit 1 mm" in words(root)
    assert root.get("aria-label").endswith("(0.9 – 1.5)")


def test_small_multiples_give_each_panel_its_own_scale_unless_told_otherwise():
    panels = [Panel("Front", [(0, 10), (2, 12)], stepped=True), Panel("Rear", [(0, 180), (2, 190)])]
    own = read(small_multiples(panels, title="t", marks=MARKS))
    same = read(small_multiples(panels, title="t", marks=MARKS, same_y=True))
    assert words(own) != words(same)
    assert [one.text for one in of_class(own, "panel-name")] == ["Front", "Rear"]
    assert [one.text for one in of_class(own, "last")] == ["12", "190"]


def test_an_empty_panel_is_left_out_and_all_empty_is_said():
    half = small_multiples([Panel("a", [(0, 1)]), Panel("b", [])], title="t", marks=[])
    assert len(of_class(read(half), "panel-name")) == 1
    with pytest.raises(ValueError, match="nothing to draw"):
        small_multiples([Panel("b", [])], title="t", marks=[])


def test_a_plot_has_a_size_of_a_few_kilobytes():
    """spec: 4 KB, so that sixty can stand on a page; counted, not timed."""
    assert len(step_plot([REBOUND] * 4, title="Rear", marks=MARKS)) < 4096


def test_the_package_needs_no_framework():
    import subprocess
    import sys

    code = (
        "import sys, jobs.plots.ruler, jobs.plots.strip, jobs.plots.steps, jobs.plots.lines,"
        " jobs.plots.multiples; print('django' in sys.modules, 'numpy' in sys.modules)"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert answer.stdout.split() == ["False", "False"]


def test_a_line_that_ends_sooner_is_connected_to_its_name():
    whole, short = PlotSeries("left", [(0, 4), (2, 2)]), PlotSeries("centre", [(0, 4), (1, 3)])
    root = read(line_plot([whole, short], title="Depth", marks=MARKS, unit="mm", joined=False))
    (lead,) = of_class(root, "lead")
    start, end = (float(x) for x in re.findall(r"[ML]([\d.]+) ", lead.get("d") or ""))
    last = [float(dot.get("cx") or 0) for dot in of_class(root, "s1") if dot.get("cx")][-1]
    name = next(one for one in of_class(root, "name") if one.text == "centre")
    assert last < start < end < float(name.get("x") or 0)


def test_a_proportion_is_drawn_between_0_and_1():
    """Its dot and its bar, read back by their places: 8 to 212 is nought to all."""
    drawn = share(part=0.5, low=0.25, high=1.0, alt="2 of 4")
    dot = re.search(r'class="share-part" cx="([\d.]+)"', drawn)
    bar = re.search(r'class="share-range" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', drawn)
    assert float(dot[1]) == 110
    assert (float(bar[1]), float(bar[1]) + float(bar[2])) == (59, 212)
    assert 'aria-label="2 of 4"' in drawn
