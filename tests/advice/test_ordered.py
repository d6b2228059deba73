"""A change the tuner orders and a helper carries out is judged as if the tuner had made it."""

import pytest
from django.urls import reverse

from jobs.advice.selectors import evidence
from jobs.garage.enums import Function, Leg
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Expectation, Finding, Order
from jobs.tuning.knowledge import SuggestionKind

from .story import Story

pytestmark = pytest.mark.django_db

SENTENCE = "Smooth return in ~1 s, no overshoot."  # what the catalogue asks for after B1


@pytest.fixture
def story(cast):
    story = Story(cast)
    story.came_in(1)
    story.noted = story.found("B1")
    story.read("push", "front", "s", seconds=1.6)
    return story


def page(browser, story, name="advice"):
    return browser.get(reverse(f"board:{name}", args=[story.entry.pk])).content.decode()


def order_it(browser, story, **said):
    """As the suggestion's form on the advice page posts it."""
    move = story.plan().suggestion.moves[0]
    url = reverse("board:advice-act", args=[story.entry.pk, "order"])
    browser.post(
        url,
        {"adjuster": move.key, "from": str(move.from_), "to": str(move.to), "reason": "slow",
         "finding": story.noted.pk, "expectation": SENTENCE, **said},
    )  # fmt: skip
    return Order.objects.get()


def carry_out(browser, story, order, **said):
    """As the order's card on the sheet posts it."""
    leg = order.adjuster_id
    url = reverse("board:sheet-change", args=[story.entry.pk, leg])
    moves = {f"from_{leg}": order.from_position, f"to_{leg}": order.to_position}
    browser.post(url, {**moves, "order": order.pk, "how": "read_back", **said})
    return Adjustment.objects.get(kind="change")


def test_what_a_helper_did_by_order_is_judged_and_counted(cast, signed_in, story):
    order = order_it(signed_in(cast.tuner), story, condition="once the track is warmer")
    helper = signed_in(cast.helper)
    assert SENTENCE in page(helper, story, "sheet")
    row = carry_out(helper, story, order)
    expected = Expectation.objects.get()
    assert (row.by, row.order) == (cast.helper, order)
    assert (expected.adjustment, expected.finding, expected.text, expected.condition) == (
        row, story.noted, SENTENCE, "once the track is warmer",
    )  # fmt: skip
    story.came_in(2)
    assert 'name="verdict" value="not_seen"' in page(helper, story)
    story.judge("not_seen")
    assert story.plan().suggestion.sort == SuggestionKind.WAY_BACK
    (found,) = evidence()
    assert (found.finding, found.function, found.not_seen) == ("B1", "rebound", 1)


def test_the_page_fills_in_the_catalogues_words_and_the_tuner_amends_them(cast, signed_in, story):
    tuner = signed_in(cast.tuner)
    assert f'value="{SENTENCE}"' in page(tuner, story)
    order = order_it(tuner, story, expectation="back in a second, as the rear")
    assert 'value="back in a second, as the rear"' in page(tuner, story, "sheet")
    carry_out(tuner, story, order, expectation="back in one second")
    assert Expectation.objects.get().text == "back in one second"
    assert Expectation.objects.get().finding == story.noted


def test_a_tuner_may_expect_nothing_of_what_he_ordered(cast, signed_in, story):
    tuner = signed_in(cast.tuner)
    carry_out(tuner, story, order_it(tuner, story), expectation="")
    assert not Expectation.objects.exists()


def test_what_is_ordered_is_not_offered_a_second_time(cast, signed_in, story):
    tuner = signed_in(cast.tuner)
    assert "Order it" in page(tuner, story)
    order_it(tuner, story)
    html = page(tuner, story)
    assert "Order it" not in html
    assert "Done, counted again" in html
    assert "A change is ordered on this end and not done yet" in html


def test_an_order_from_the_sheet_carries_the_finding_its_sentence_is_of(cast, signed_in, story):
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    url = reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk])
    form = {f"from_{adjuster.pk}": "10", "by": "2", "expectation": SENTENCE, "how": "order"}
    signed_in(cast.tuner).post(url, form)
    order = Order.objects.get()
    assert (order.expectation, order.finding) == (SENTENCE, story.noted)
    carry_out(signed_in(cast.helper), story, order)
    assert Expectation.objects.get().finding == story.noted


def test_a_sentence_tapped_on_the_sheet_names_the_newest_finding_it_is_of(cast, signed_in, story):
    newest = story.found("B1")
    adjuster = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    url = reverse("board:sheet-change", args=[story.entry.pk, adjuster.pk])
    signed_in(cast.tuner).post(url, {f"from_{adjuster.pk}": "10", "by": "2", "expects": SENTENCE})
    assert Expectation.objects.get().finding == newest
    assert Finding.objects.count() == 2


def test_a_pressure_ordered_keeps_the_state_it_was_ordered_for(cast, signed_in, story):
    tyre = Adjuster.objects.create(
        bike=story.entry.bike, end="front", leg=Leg.BOTH, function=Function.TYRE_PRESSURE,
        unit="psi", step="0.5", lowest=20, highest=45, firming="up",
    )  # fmt: skip
    set_cold = {"adjuster": tyre.pk, "from_position": "30", "to_position": "31"}
    story.act("change", moves=[set_cold], tyre_state="cold")
    moved = {"adjuster": tyre.pk, "from_position": "31", "to_position": "30"}
    story.act("order", moves=[moved], tyre_state="cold")
    order = Order.objects.get()
    url = reverse("board:sheet-change", args=[story.entry.pk, tyre.pk])
    moves = {f"from_{tyre.pk}": "31", f"to_{tyre.pk}": "30"}
    signed_in(cast.helper).post(url, {**moves, "order": order.pk, "how": "read_back"})
    done = Adjustment.objects.get(order=order)
    assert (done.tyre_state, done.by) == ("cold", cast.helper)
