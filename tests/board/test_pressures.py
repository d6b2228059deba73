"""Setting a tyre's pressure: from what the gauge said just before, for the state it was read in."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.garage.enums import Function, Leg
from jobs.garage.models import Adjuster, Fitting
from jobs.garage.services import fitting_fit
from jobs.people.models import Business
from jobs.setups.models import Adjustment, Order
from jobs.trackday import clock
from jobs.tuning.terms import AdjusterFunction, End, TyreState
from tests.markup import one_line

from ..advice.story import Story
from ..days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def story(cast):
    """A front tyre of 29 to 33 psi cold, 31 to 35 hot, that nobody has set here."""
    story = Story(cast)
    Adjuster.objects.create(
        bike=story.entry.bike, end="front", leg=Leg.BOTH, function=Function.TYRE_PRESSURE,
        unit="psi", step="0.5", lowest=20, highest=45, firming="up",
    )  # fmt: skip
    Fitting.objects.create(
        bike=story.entry.bike, kind="tyre", end="front", name="Varsk Halm 120",
        fitted_at=local(7), maker_range_kpa={"cold": [200, 228], "track": [214, 241]},
    )  # fmt: skip
    return story


@pytest.fixture
def tyre(story) -> Adjuster:
    return Adjuster.objects.get(function=Function.TYRE_PRESSURE)


@pytest.fixture
def panel(story, tyre, signed_in, cast):
    """``panel(**form)``: the tyre's panel as the tuner sees it, or what posting it answers."""
    browser = signed_in(cast.tuner)
    url = reverse("board:sheet-change", args=[story.entry.pk, tyre.pk])

    def page(**form) -> str:
        answer = browser.post(url, form) if form else browser.get(url)
        return one_line(answer.content.decode())

    return page


def gauge(story, psi, state="cold", unit="psi"):
    story.read("pressure", "front", unit, tyre_state=state, pressure=psi)


def test_neither_read_nor_set_it_is_read_first_not_counted(panel):
    page = panel()
    assert "Neither read at this stop nor ever set" in page
    assert "/read/pressure/" in page
    assert "Close it gently" not in page


def test_a_change_starts_from_the_gauge_and_is_for_the_state_it_was_read_in(story, tyre, panel):
    gauge(story, "32.6")
    page = panel()
    assert "32.6 psi" in page
    assert 'value="cold" checked' in page
    panel(**{f"from_{tyre.pk}": "32.6", "by": "-0.5", "tyre_state": "cold", "how": "read_back"})
    row = Adjustment.objects.get(adjuster=tyre)
    assert (row.from_position, row.to_position) == (Decimal("32.6"), Decimal("32.1"))
    assert f'name="from_{tyre.pk}" value="32.1' in panel()  # set since it was read
    story.came_in(1)
    gauge(story, "37.4", "track")
    page = panel()
    assert f'name="from_{tyre.pk}" value="37.4"' in page
    assert 'value="track" checked' in page
    story.came_in(2)  # what was read at the stop before says nothing any more
    assert f'name="from_{tyre.pk}" value="32.1' in panel()


def test_a_gauge_in_another_unit_is_read_in_the_tyres_own(story, tyre, panel):
    gauge(story, "2.2", unit="bar")  # 31.908 psi (NIST SP 811, appendix B.8)
    assert f'name="from_{tyre.pk}" value="31.9"' in panel()


def test_the_wrong_state_chosen_stays_chosen_beside_an_error(story, panel):
    gauge(story, "32.6")
    page = panel(tyre_state="track", how="read_back")
    assert "Choose a step" in page
    assert 'value="track" checked' in page


def test_what_it_was_last_set_to_can_be_written_without_a_gauge(
    story, tyre, panel, signed_in, cast
):
    browser = signed_in(cast.tuner)
    url = reverse("board:sheet-count", args=[story.entry.pk, tyre.pk])
    assert "last set to, psi" in browser.post(url, {"position": "x"}).content.decode()
    browser.post(url, {"position": "31"})
    assert f'name="from_{tyre.pk}" value="31' in panel()


def test_a_pressure_never_set_is_ordered_from_the_gauge(story, tyre, panel):
    gauge(story, "32.6")
    panel(**{f"from_{tyre.pk}": "32.6", "by": "-0.5", "tyre_state": "cold", "how": "order"})
    order = Order.objects.get()
    assert (order.from_position, order.to_position, order.tyre_state) == (
        Decimal("32.6"),
        Decimal("32.1"),
        "cold",
    )


def front(story):
    """How the reasoning takes the front tyre: where it stands, for which state."""
    bike = story.basis().bike
    (found,) = [a for a in bike.adjusters if a.function == AdjusterFunction.TYRE_PRESSURE]
    return found.position, bike.tyres[End.FRONT].set_state


def test_advice_starts_from_the_mornings_cold_reading(story, cast, signed_in):
    gauge(story, "32")
    story.came_in(1)
    story.found("R13", by_rider=True)
    gauge(story, "35.6", "track")  # past the maker's range: less is the first thing to try
    assert front(story) == (Decimal(32), TyreState.COLD)
    suggestion = story.plan().suggestion
    assert suggestion.function == AdjusterFunction.TYRE_PRESSURE
    assert [(m.from_, m.to) for m in suggestion.moves] == [(Decimal(32), Decimal(31))]
    page = signed_in(cast.tuner).get(reverse("board:advice", args=[story.entry.pk]))
    assert '<input type="hidden" name="tyre_state" value="cold">' in one_line(page.content.decode())


def test_without_a_cold_reading_a_fresh_hot_one_serves_and_an_old_one_does_not(story):
    story.came_in(1)
    gauge(story, "34", "track")
    assert front(story) == (Decimal(34), TyreState.TRACK)
    story.came_in(2)
    assert front(story) == (None, TyreState.COLD)


def test_once_it_was_set_advice_starts_from_what_it_was_set_to(story, tyre):
    gauge(story, "32")
    move = {"adjuster": tyre.pk, "from_position": "32", "to_position": "31"}
    story.act("change", moves=[move], tyre_state="cold")
    gauge(story, "33")
    assert front(story) == (Decimal(31), TyreState.COLD)


def another_tyre(story):
    fitting_fit(
        fitting_id=uuid.uuid4(), bike=story.entry.bike, kind="tyre", end="front",
        name="Varsk Halm 120", fitted_at=clock.now(story.entry.trackday),
    )  # fmt: skip


def test_another_tyre_is_read_anew_before_advice_has_a_figure_to_start_from(story):
    gauge(story, "32")
    story.came_in(1)
    another_tyre(story)
    assert front(story) == (None, TyreState.COLD)
    gauge(story, "31")
    assert front(story) == (Decimal(31), TyreState.COLD)


def test_what_was_set_on_a_tyre_says_nothing_of_the_next(story, tyre, panel, signed_in, cast):
    move = {"adjuster": tyre.pk, "from_position": "32", "to_position": "31"}
    story.act("change", moves=[move], tyre_state="cold")
    story.came_in(1)
    another_tyre(story)
    assert front(story) == (None, TyreState.COLD)
    assert "Another tyre has been fitted since it was set: the gauge first" in panel()
    sheet = reverse("board:sheet", args=[story.entry.pk])
    assert "another tyre since 31 psi" in signed_in(cast.tuner).get(sheet).content.decode()
    panel(**{f"from_{tyre.pk}": "30", "to": "31.5", "tyre_state": "cold", "how": "read_back"})
    assert front(story) == (Decimal("31.5"), TyreState.COLD)
    page = signed_in(cast.tuner).get(sheet).content.decode()
    assert "another tyre since" not in page
    assert "as set" in page


def test_a_tyre_written_down_late_is_the_one_that_was_read_and_set(story, tyre):
    """The first one in the book came with the bike: nothing came off for it."""
    Fitting.objects.all().delete()
    gauge(story, "32")
    story.came_in(1)
    another_tyre(story)
    assert front(story) == (Decimal(32), TyreState.COLD)
    move = {"adjuster": tyre.pk, "from_position": "32", "to_position": "31"}
    story.act("change", moves=[move], tyre_state="cold")
    assert front(story) == (Decimal(31), TyreState.COLD)


@pytest.mark.parametrize(
    ("unit", "words"),
    [  # 6.894757 kPa to the psi, 100 to the bar (NIST SP 811, appendix B.8)
        ("psi", "29.0–33.1 psi cold, 31.0–35.0 psi off track"),
        ("bar", "2.00–2.28 bar cold, 2.14–2.41 bar off track"),
        ("kPa", "200–228 kPa cold, 214–241 kPa off track"),
    ],
)
def test_the_makers_range_is_said_in_the_unit_of_the_business(story, cast, signed_in, unit, words):
    Business.objects.update(pressure_unit=unit)
    page = signed_in(cast.tuner).get(reverse("board:sheet-fittings", args=[story.entry.pk]))
    assert words in page.content.decode()
