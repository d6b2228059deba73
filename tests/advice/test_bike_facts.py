"""What the reasoning is told of a bike's adjusters, tyres, readings and changes."""

from decimal import Decimal

import pytest

from jobs.advice.selectors import expected, observations
from jobs.advice.selectors.change_sets import direction_of
from jobs.garage.enums import FittingKind, Function, Leg
from jobs.garage.models import Adjuster, Fitting
from jobs.setups.models import Adjustment, Reading
from jobs.tuning.knowledge import ChangeDirection
from jobs.tuning.terms import End, OilState, TyreState

from ..days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def pressure(story):
    """The front tyre's pressure, never set by anybody."""
    Fitting.objects.create(
        bike=story.entry.bike, kind=FittingKind.TYRE, end="front", name="Varsk Halm 120",
        fitted_at=local(7),
    )  # fmt: skip
    return Adjuster.objects.create(
        bike=story.entry.bike, end="front", leg=Leg.BOTH, function=Function.TYRE_PRESSURE,
        unit="psi", step="0.5", lowest=20, highest=45, firming="up",
    )  # fmt: skip


def state(story, adjuster):
    return next(one for one in story.basis().bike.adjusters if one.key == adjuster.pk)


def test_a_pressure_nobody_set_stands_as_read_cold_before_hot(story, pressure):
    assert state(story, pressure).position is None
    story.read("pressure", "front", "psi", tyre_state="track", pressure=34)
    assert float(state(story, pressure).position) == pytest.approx(34)
    assert story.basis().bike.tyres[End.FRONT].set_state == TyreState.TRACK
    story.read("pressure", "front", "psi", tyre_state="cold", pressure=30)
    assert float(state(story, pressure).position) == pytest.approx(30)
    assert story.basis().bike.tyres[End.FRONT].set_state == TyreState.COLD


def test_a_pressure_somebody_set_stands_as_set(story, pressure):
    move = {"adjuster": pressure.pk, "from_position": "30", "to_position": "31"}
    story.act("change", moves=[move], tyre_state="cold", read_back=True)
    story.read("pressure", "front", "psi", tyre_state="cold", pressure=29)
    assert float(state(story, pressure).position) == pytest.approx(31)


def test_an_adjuster_says_in_which_oil_it_was_moved_and_a_count_moves_nothing(story):
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    assert state(story, rebound).moved_when is None
    move = {"adjuster": rebound.pk, "from_position": "10", "to_position": "11"}
    story.act("change", moves=[move])
    assert state(story, rebound).moved_when == OilState.HOT
    story.act("count", counts=[{"adjuster": rebound.pk, "position": "11"}])
    assert state(story, rebound).moved_when is None


@pytest.mark.parametrize(
    ("function", "firming", "was", "now", "way"),
    [
        ("rebound", "down", 10, 12, ChangeDirection.SOFTER),
        ("rebound", "down", 12, 10, ChangeDirection.FIRMER),
        ("rebound", "up", 10, 12, ChangeDirection.FIRMER),
        ("rebound", "up", 12, 10, ChangeDirection.SOFTER),
        ("tyre_pressure", "up", 30, 31, ChangeDirection.MORE),
        ("tyre_pressure", "up", 31, 30, ChangeDirection.LESS),
        ("preload", "up", None, 2, ChangeDirection.FIRMER),
    ],
)
def test_which_way_a_change_went(function, firming, was, now, way):
    adjuster = Adjuster(function=function, firming=firming)
    assert direction_of(Adjustment(adjuster=adjuster, from_position=was, to_position=now)) == way


def test_a_softer_rebound_is_more_clicks_out_where_clicks_out_soften(story):
    story.found("B1")
    sentence = story.basis().catalogue.findings["B1"].next
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    by_sign = expected.expected_of(story.entry, rebound)
    assert by_sign[1][0] == sentence
    assert sentence not in by_sign[-1]
    rebound.firming = "up"
    by_sign = expected.expected_of(story.entry, rebound)
    assert by_sign[-1][0] == sentence
    assert sentence not in by_sign[1]


def test_a_newer_finding_with_another_sentence_is_not_behind_a_tapped_one(story):
    noted = story.found("B1")
    story.found("R13")
    rebound = Adjuster.objects.get(bike=story.entry.bike_id, end="front", function="rebound")
    sentence = story.basis().catalogue.findings["B1"].next
    assert expected.finding_behind(story.entry, rebound, sentence) == str(noted.pk)
    assert expected.finding_behind(story.entry, rebound, "in my own words") is None


@pytest.mark.parametrize(
    ("tyre_state", "session", "minutes", "usable"),
    [
        ("track", 1, "5", True),
        ("track", 1, "5.1", False),
        ("track", 2, "1", False),
        ("track", 1, None, False),
        ("cold", 2, None, True),
        ("warmers", None, None, True),
        ("", 1, None, True),
    ],
)
def test_a_hot_pressure_counts_fresh_and_of_this_stop(tyre_state, session, minutes, usable):
    """Within five minutes of the stop: common practice, no source."""
    reading = Reading(
        tyre_state=tyre_state,
        session_id=session,
        minutes_since_stop=None if minutes is None else Decimal(minutes),
    )
    assert observations.usable(reading, 1) == usable
