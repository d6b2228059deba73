"""Where a range ends: the last possible number, photos of the very moment, states of the tyre."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.setups import sentences, services
from jobs.setups.cards import AdjusterCard, ends
from jobs.setups.day_plots import day_plots
from jobs.setups.models import Adjustment, BikePhoto, Reading
from jobs.setups.selectors import standings_of_entry
from jobs.setups.services.readings import Value

from ..days import day_build
from .test_photos import beside, expected_of, photo
from .writing import change, count, origin, rear_rebound, tyre_pressure

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def take(by, entry, kind, name, value, unit, **more):
    return services.reading_take(
        origin=origin(by, entry), bike=entry.bike, kind=kind, end="rear",
        values=[Value(name, Decimal(value), unit)], **more,
    )  # fmt: skip


def test_a_push_test_of_one_minute_is_kept_and_a_longer_one_refused(tuner, entry):
    """A shock comes back in a second or two: a minute is a slip of the finger (common
    practice, no source)."""
    take(tuner, entry, "push", "seconds", "60", "s")
    with pytest.raises(ValidationError, match="60"):
        take(tuner, entry, "push", "seconds", "60.5", "s")
    assert Reading.objects.count() == 1


def test_a_number_on_the_edge_of_what_is_usual_has_no_warning(tuner, entry):
    assert take(tuner, entry, "push", "seconds", "15", "s").warnings == ()
    assert take(tuner, entry, "push", "seconds", "15.1", "s").warnings != ()


def test_the_state_of_the_tyre_stands_beside_a_pressure(tuner, entry):
    taken = take(tuner, entry, "pressure", "pressure", "200", "kPa", tyre_state="track")
    assert sentences.reading_aside(taken.reading).split(" · ")[0] == "off track"
    without = take(tuner, entry, "pressure", "pressure", "200", "kPa")
    assert "off track" not in sentences.reading_aside(without.reading)


def tyre_card(entry) -> AdjusterCard:
    readings = Reading.objects.filter(bike=entry.bike).prefetch_related("measurements")
    found = [card for end in ends(standings_of_entry(entry), readings) for card in end.cards]
    (card,) = [card for card in found if card.adjuster.function == "tyre_pressure"]
    return card


def test_a_tyre_never_set_shows_what_was_read_and_one_never_read_says_so(tuner, entry):
    tyre_pressure(entry)
    assert tyre_card(entry).shown == tyre_card(entry).standing.now_words
    take(tuner, entry, "pressure", "pressure", "32.5", "psi", tyre_state="cold")
    assert "32.5" in tyre_card(entry).shown
    assert "32.5" not in tyre_card(entry).standing.now_words


def test_an_adjuster_counted_and_then_changed_is_drawn(tuner, entry):
    """The first row of the day is a count: nothing is drawn before it."""
    count(tuner, entry, 14)
    change(tuner, entry, 14, 12)
    assert [plot["title"] for plot in day_plots(entry, standings_of_entry(entry), [])] == [
        "Clicks and turns"
    ]


def test_a_photo_taken_with_the_change_is_the_one_before_it(tuner, entry):
    """One act may bring both: then their rows were accepted at the same moment."""
    expectation = expected_of(tuner, entry)
    accepted = Adjustment.objects.get(adjuster=rear_rebound(entry)).accepted_at
    with_it = photo(tuner, entry)
    BikePhoto.objects.filter(pk=with_it.pk).update(accepted_at=accepted)
    assert beside(expectation) == (with_it, None)
