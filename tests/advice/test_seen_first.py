"""Of two suggestions equal in the order of work, that one comes first whose effect is seen."""

import pytest
from django.urls import reverse

from jobs.advice.services import own_finding_save

from ..markup import one_line
from ..queries import queries
from .test_ring_outlook import ridden, ring

__all__ = ["ridden"]
STEP = {"suspect": 1, "direction": "firmer", "when": "push slow or very_slow"}
TABLE = {
    "title": "Sinks into the first corner",
    "family": "push_test",
    "ends": ["front", "rear"],
    "see": "Sinks on the brakes and stays there.",
    "next": "It holds up longer.",
    "source_note": "Our own book.",
    "suspects": [{"text": "Too soft", "kinds": ["spring"], "when": ["push slow or very_slow"]}],
    "steps": [
        {**STEP, "function": "preload", "size": [1, 1], "unit": "mm"},
        {**STEP, "function": "spring", "size": [1, 1], "unit": "N/mm"},
    ],
}


@pytest.fixture
def soft(ridden, cast):
    """More preload and stiffer springs are asked for alike; the fork was read three times."""
    code = own_finding_save(code="", table=TABLE, by=cast.tuner).code

    def told(*rings):
        for number, used in enumerate(rings, 1):
            ring(ridden, number, "front", used)
        ridden.found(code)
        ridden.read("push", "front", "s", seconds=1.6)
        return ridden.plan().suggestion

    ridden.told = told
    return ridden


def test_a_spring_swap_that_one_ring_shows_comes_before_preload_that_none_would(soft, browser):
    suggestion = soft.told(96, 97, 95)
    assert (suggestion.function, suggestion.text) == ("spring", "Front spring firmer")
    assert suggestion.preferred == (
        "Front preload firmer is equal in the order of work; this one shows in the ring after "
        "one outing."
    )
    page = one_line(browser.get(reverse("board:advice", args=[soft.entry.pk])).content.decode())
    assert "Rather than" in page
    assert str(suggestion.preferred) in page
    assert "Ring about 10 mm further from the end of its travel" in page


def test_where_no_ring_was_read_the_order_of_work_stands(soft):
    soft.came_in(1)
    suggestion = soft.told()
    assert (suggestion.function, suggestion.preferred) == ("preload", "")


def test_how_many_outings_a_doubt_would_take_is_said(soft, browser):
    """The spring was overruled: of a millimetre of preload the ring shows nothing for long."""
    code = soft.told(96, 97, 95).finding.code
    soft.act(
        "overrule", code=code, end="front", function="spring", direction="firmer", reason="none"
    )
    page = one_line(browser.get(reverse("board:advice", args=[soft.entry.pk])).content.decode())
    assert "Too small for the ring (0.8 mm in a band of ±" in page
    assert "To see it in the ring:" in page
    assert "outings before and" in page


def test_the_rings_are_read_once_and_only_where_suggestions_are_equal(soft):
    soft.told(96, 97, 95)
    with queries() as equal:
        soft.plan()
    soft.act(
        "overrule", code="OWN1", end="front", function="spring", direction="firmer", reason="none"
    )
    with queries() as alone:
        soft.plan()
    assert (len(equal), len(alone)) == (29, 21)
