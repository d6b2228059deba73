"""What must never happen, over random bikes, readings, findings and pasts."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.tuning.damping import PushClass
from jobs.tuning.knowledge import ChangeDirection, EarlierToday, SuggestionKind, advise
from jobs.tuning.terms import AdjusterFunction, Firming, OilState
from jobs.tuning.units import convert

from .anything import case

F = AdjusterFunction
seeds = st.integers(0, 2**48)


def plans(seed):
    bike, observed, logged, past = case(seed)
    said = advise(bike=bike, observed=observed, logged=logged, past=past)
    return bike, observed, [plan for plan in said.ends if plan.suggestion]


@given(seeds)
@settings(max_examples=1500, deadline=None)
def test_no_suggestion_passes_an_end_or_touches_what_is_broken_or_proven(seed):
    bike, _observed, found = plans(seed)
    for plan in found:
        assert not bike.holds
        assert not plan.wait
        for move in plan.suggestion.moves:
            adjuster = move.adjuster
            assert adjuster in bike.adjusters
            assert adjuster.end == plan.end
            assert adjuster.lowest <= move.to <= adjuster.highest
            assert adjuster.usable
            assert not adjuster.proven
            assert move.to != move.from_ == adjuster.position


@given(seeds)
@settings(max_examples=1500, deadline=None)
def test_rebound_is_only_set_from_a_hot_push_of_this_turnaround(seed):
    _bike, observed, found = plans(seed)
    for plan in found:
        suggestion = plan.suggestion
        if (suggestion.sort, suggestion.function) == (SuggestionKind.CHANGE, F.REBOUND):
            push = [
                p for p in observed.pushes
                if (p.end, p.oil, p.this_turnaround) == (plan.end, OilState.HOT, True)
            ][-1]  # fmt: skip
            late = push.seen == PushClass.SLOW
            quick = push.seen in (
                PushClass.QUICK, PushClass.ONE_OVERSHOOT, PushClass.KEEPS_BOUNCING
            )  # fmt: skip
            assert late if suggestion.direction == ChangeDirection.SOFTER else quick
        if suggestion.sort == SuggestionKind.AS_ARRIVED:
            assert all(move.to == move.adjuster.arrived for move in suggestion.moves)


@given(seeds)
@settings(max_examples=1500, deadline=None)
def test_a_tyre_pressure_stays_inside_the_makers_range_for_its_state(seed):
    bike, _observed, found = plans(seed)
    for plan in found:
        for move in plan.suggestion.moves:
            if move.adjuster.function == F.TYRE_PRESSURE:
                tyre = bike.tyres[plan.end]
                low, high = tyre.maker_range_kpa[tyre.set_state]
                kpa = convert(value=float(move.to), unit=move.adjuster.unit, to="kPa")
                assert low <= kpa <= high


@given(seeds)
@settings(max_examples=500, deadline=None)
def test_a_change_goes_the_way_it_says_and_equally_far_in_both_legs(seed):
    for plan in plans(seed)[2]:
        suggestion = plan.suggestion
        if suggestion.sort != SuggestionKind.CHANGE:
            continue
        assert suggestion.moves
        assert len({move.size for move in suggestion.moves}) == 1
        for move in suggestion.moves:
            up = move.to > move.from_
            if suggestion.direction in (ChangeDirection.MORE, ChangeDirection.LESS):
                assert up == (suggestion.direction == ChangeDirection.MORE)
            else:
                firmer_is_up = move.adjuster.firming == Firming.UP
                assert up == (firmer_is_up == (suggestion.direction == ChangeDirection.FIRMER))


@given(seeds)
@settings(max_examples=500, deadline=None)
def test_overruled_once_is_not_offered_again(seed):
    bike, observed, logged, past = case(seed)
    said = advise(bike=bike, observed=observed, logged=logged, past=past)
    for plan in said.ends:
        name = plan.suggestion.name if plan.suggestion and plan.suggestion.finding else None
        if name:
            quiet = EarlierToday(past.tried, {name: "not on this bike"})
            again = advise(bike=bike, observed=observed, logged=logged, past=quiet)
            suggestion = again.at(plan.end).suggestion
            assert suggestion is None or suggestion.name != name


def test_the_cases_meet_what_these_tests_are_about():
    """Counted over the first seeds, so that none of the tests above is empty."""
    met: Counter = Counter()
    for seed in range(3000):
        for plan in plans(seed)[2]:
            met[plan.suggestion.sort] += 1
            met[plan.suggestion.function] += 1
    assert all(met[sort] >= 10 for sort in SuggestionKind), met
    wanted = (F.REBOUND, F.COMPRESSION, F.PRELOAD, F.TYRE_PRESSURE, F.TUBE_HEIGHT)
    assert all(met[function] >= 10 for function in wanted), met
