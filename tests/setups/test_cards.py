"""What a card says of an adjuster: since arrival, on what oil, and of both legs as one."""

import pytest

from jobs.setups.cards import ends
from jobs.setups.selectors import standings_of_entry

from ..days import day_build, local
from .writing import arrive, change, change_legs, count, fork_legs, rear_rebound

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def cards(entry, function):
    found = [card for end in ends(standings_of_entry(entry)) for card in end.cards]
    return [card for card in found if card.adjuster.function == function]


def rear(entry):
    [card] = [c for c in cards(entry, "rebound") if c.adjuster == rear_rebound(entry)]
    return card.aside


def test_an_adjuster_is_said_to_be_not_counted_moved_and_back_as_arrived(tuner, entry):
    assert rear(entry) == "not counted yet"
    count(tuner, entry, 14)
    assert rear(entry) == "as arrived · oil cold"
    change(tuner, entry, 14, 11)
    assert rear(entry) == "3 clicks firmer since arrived · oil cold"
    change(tuner, entry, 11, 14)
    assert rear(entry) == "back as arrived · oil cold"


def test_the_oil_is_that_of_the_last_change(tuner, entry):
    arrive(tuner, entry)
    count(tuner, entry, 14)
    change(tuner, entry, 14, 12, at=local(9, 22))
    assert rear(entry) == "2 clicks firmer since arrived · oil hot"


def test_legs_that_stand_alike_are_one_card(tuner, entry):
    legs = fork_legs(entry)
    change_legs(tuner, entry, legs, (6, 5))
    [card] = cards(entry, "preload")
    assert (card.name, len(card.legs), card.unequal) == ("Preload, both legs", 2, False)


def test_legs_that_stand_apart_are_a_card_each_and_said_to_be_unequal(tuner, entry):
    legs = fork_legs(entry)
    change_legs(tuner, entry, legs, (6, 5), (6, 4))
    found = cards(entry, "preload")
    assert [(len(card.legs), card.unequal) for card in found] == [(1, True), (1, True)]


def test_legs_that_stand_alike_but_arrived_apart_are_a_card_each(tuner, entry):
    legs = fork_legs(entry)
    change_legs(tuner, entry, legs, (6, 5), (4, 5))
    assert [(len(card.legs), card.unequal) for card in cards(entry, "preload")] == [(1, False)] * 2


def test_an_adjuster_of_no_pair_is_a_card_of_its_own(tuner, entry):
    count(tuner, entry, 14)
    assert [len(card.legs) for card in cards(entry, "rebound")] == [1, 1]
    assert not any(card.unequal for card in cards(entry, "rebound"))
