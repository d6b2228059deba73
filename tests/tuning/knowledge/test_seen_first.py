"""Which of equal suggestions stands first: a method of ours, no source."""

from dataclasses import replace
from decimal import Decimal

import pytest

from jobs.tuning.knowledge import LoggedFinding, Observations, advise, shipped
from jobs.tuning.knowledge.advising import ORDER_OF_WORK, STAGES
from jobs.tuning.knowledge.catalogue import ChangeDirection
from jobs.tuning.outlook import Visibility
from jobs.tuning.terms import Firming

from .bench import FRONT, F, bike, clicker, push, turner

SPRING = clicker(
    FRONT, F.SPRING, 9, highest=15, unit="N/mm", step=Decimal("0.5"), firming=Firming.UP
)
HIGH = clicker(FRONT, F.COMPRESSION_HIGH)


def asking_for(*functions):
    """A slow fork, and a finding that asks for these changes alike, each a step firmer."""
    shape = shipped().findings["B1"]
    units = {F.PRELOAD: "turn", F.SPRING: "N/mm"}
    steps = tuple(
        replace(
            shape.steps[0], function=function, direction=ChangeDirection.FIRMER, low=Decimal(1),
            high=Decimal(1), unit=units.get(function, "click"), share=None, when=None, unless=(),
            after=(), instead_of=(),
        )
        for function in functions
    )  # fmt: skip
    return LoggedFinding(replace(shape, steps=steps), FRONT)


def offered(functions, shown):
    """The suggestion, and what stands after it, where the ring shows moves as ``shown`` says."""
    plan = advise(
        bike=bike(turner(FRONT), SPRING, HIGH),
        observed=Observations(pushes=(push(FRONT, "slow"),)),
        logged=[asking_for(*functions)],
        shows=(lambda moves: shown.get(moves[0].adjuster.function)) if shown is not None else None,
    ).at(FRONT)
    return plan.suggestion, plan.then


SMALL, ONE, FOUR = Visibility("too_small", 40), Visibility("in_one", 1), Visibility("in_several", 4)


def test_a_stage_holds_neighbours_in_the_order_of_work():
    places = {
        stage: [n for n, function in enumerate(ORDER_OF_WORK) if STAGES.get(function) == stage]
        for stage in set(STAGES.values())
    }
    assert all(found == list(range(found[0], found[-1] + 1)) for found in places.values())


@pytest.mark.parametrize(
    ("shown", "first", "said"),
    [
        ({F.PRELOAD: SMALL, F.SPRING: ONE}, F.SPRING, "after one outing"),
        ({F.SPRING: FOUR}, F.SPRING, "after 4 outings before and 4 after"),
        ({F.PRELOAD: FOUR, F.SPRING: ONE}, F.SPRING, "after one outing"),
        ({F.PRELOAD: ONE, F.SPRING: ONE}, F.PRELOAD, ""),
        ({F.PRELOAD: SMALL, F.SPRING: SMALL}, F.PRELOAD, ""),
        ({}, F.PRELOAD, ""),
        (None, F.PRELOAD, ""),
    ],
)
def test_of_equal_suggestions_that_which_the_ring_shows_soonest_stands_first(shown, first, said):
    suggestion, then = offered((F.PRELOAD, F.SPRING), shown)
    assert suggestion.function == first
    assert said in suggestion.preferred
    assert bool(suggestion.preferred) == bool(said)
    other = "preload" if first == F.SPRING else "spring"
    assert any(f"Front {other} firmer" in line for line in then)  # the other is not lost


def test_what_is_earlier_in_the_order_of_work_is_never_passed_by_what_is_seen():
    suggestion, _then = offered((F.PRELOAD, F.COMPRESSION_HIGH), {F.COMPRESSION_HIGH: ONE})
    assert (suggestion.function, suggestion.preferred) == (F.PRELOAD, "")
