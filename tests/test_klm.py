"""The keystroke-level model against sums known beforehand, and what counts as a gesture."""

import pytest
from playwright.sync_api import Browser

from tests.klm import Gestures, Made, seconds


def test_a_file_dragged_to_the_bin_takes_three_and_a_half_seconds():
    """Kieras, "Using the Keystroke-Level Model" (2001), his first example, from memory:
    point, press, drag, release, point back = 3 P + 2 B = 3.5 s."""
    assert seconds("PB PB P") == pytest.approx(3.5)


def test_a_thought_comes_before_each_unit_and_a_hand_moves_to_the_keys_once():
    tap, digit = {"kind": "tap", "unit": ""}, {"kind": "tap", "unit": "keypad"}
    a, b, tab = ({"kind": "key", "unit": key} for key in ("a", "b", "Tab"))
    assert Made([tap, tap]).operators == "MPB MPB"
    assert Made([digit, digit, tap]).operators == "MPBPB MPB"
    assert Made([a, b, tab, b]).operators == "MHKKK MK"
    assert Made([{"kind": "swipe", "unit": ""}, tap]).operators == "MPBPB"


@pytest.mark.browser
def test_only_what_hands_do_is_a_gesture(chromium: Browser):
    page = chromium.new_page(has_touch=True, viewport={"width": 390, "height": 844})
    hands = Gestures(page)
    page.route("**/*", lambda route: route.fulfill(content_type="text/html", body=PAGE))
    page.goto("http://paddock.test/")
    hands.start()
    page.tap("#here")
    page.keyboard.type("31")
    page.fill("#here", "33")
    hands.tap("#far")
    made = hands.made()
    assert (made.taps, made.keys, made.swipes, made.pages) == (2, 2, 3, 0)
    assert made.operators == "MPB MHKK MPBPBPBPB"
    assert str(made).startswith("2 taps, 2 keys, 3 swipes: MPB ")
    page.goto("http://paddock.test/next")
    assert hands.made().pages == 1


PAGE = """<!doctype html><style>body { height: 6000px; margin: 0 }
#far { position: absolute; top: 2300px; left: 0 }</style>
<input id="here"><button id="far">far</button>"""
