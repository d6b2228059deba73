"""The drawing of a ring: two bands on one scale, and what was read."""

import pytest

from jobs.plots.foretold import MARGIN, WIDTH, Foretold, foretold

from .drawing import read

VALUES = {"level": 96, "before": (91, 101), "expected": 86, "band": (80, 92), "usable": 120}


def drawn(**changes):
    return read(foretold(Foretold(**{**VALUES, **changes}), alt="Ring at 96 mm"))


def bars(picture):
    return {
        one.get("class"): (float(one.get("x")), float(one.get("x")) + float(one.get("width")))
        for one in picture.iter("rect")
    }


def test_both_bands_lie_on_one_scale():
    found = bars(drawn())
    per_mm = (WIDTH - 2 * MARGIN) / (110 - 70)
    for name, (low, high) in {"ring-before": (91, 101), "ring-band": (80, 92)}.items():
        assert found[name] == pytest.approx(
            (MARGIN + (low - 70) * per_mm, MARGIN + (high - 70) * per_mm), abs=0.01
        )


def test_what_was_read_and_the_end_of_the_travel_are_drawn_where_they_are_near():
    assert "ring-read" not in foretold(Foretold(**VALUES), alt="Ring")
    assert "edge" not in foretold(Foretold(**VALUES), alt="Ring")
    near = foretold(Foretold(**{**VALUES, "usable": 105}, read=118), alt="Ring")
    assert "ring-read" in near
    assert "edge" in near


def test_the_words_are_escaped():
    assert "<b>" not in foretold(Foretold(**VALUES), alt="<b>")
