"""A step applied to the adjusters of a bike: how far they may be moved, or why they may not.

Never past the range counted on the bike (the listed one until then), never a broken or proven
adjuster, never a tyre pressure outside the tyre maker's range for the state in which it is set.
"""

from collections.abc import Hashable
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from ..terms import AdjusterFunction, End, TyreState
from ..units import convert, from_canonical
from ..words import _
from .catalogue import ChangeStep
from .facts import END_WORDS
from .reasoning_input import AdjusterState, BikeSetup

# The usual small step per unit, where the size range of the step allows it.
SMALL = {"click": Decimal(3), "turn": Decimal(1), "mm": Decimal(2), "psi": Decimal(1)}
COUNTED_UNITS = frozenset({"click", "mark", "turn"})
PRESSURE_UNITS = frozenset({"psi", "kPa", "bar"})


@dataclass(frozen=True)
class AdjusterMove:
    """One adjuster moved from its position to a new one."""

    adjuster: AdjusterState
    from_: Decimal
    to: Decimal

    @property
    def key(self) -> Hashable:
        return self.adjuster.key

    @property
    def size(self) -> Decimal:
        return abs(self.to - self.from_)


@dataclass(frozen=True)
class StepNotPossible:
    """Why a step may not be offered."""

    why: str


def moves_of(
    step: ChangeStep, end: End, bike: BikeSetup
) -> tuple[AdjusterMove, ...] | StepNotPossible:
    """The moves of one change: one adjuster, or the pair in both legs."""
    adjusters = bike.of(end, step.function)
    if not adjusters:
        return StepNotPossible(_("{what} cannot be set on this bike.", what=_what(end, step)))
    moves = []
    for adjuster in adjusters:
        why_not = _why_not(adjuster)
        if why_not:
            return StepNotPossible(why_not)
        moved = _pressure(step, adjuster, bike) if _is_pressure(step) else _moved(step, adjuster)
        if isinstance(moved, StepNotPossible):
            return moved
        moves.append(moved)
    return _equal_moves(tuple(moves), step)


def may_stand(adjuster: AdjusterState, to: Decimal, bike: BikeSetup) -> bool:
    """Whether an adjuster may be put to a position: the rule every suggestion obeys."""
    if not adjuster.open_to_change or not adjuster.lowest <= to <= adjuster.highest:
        return False
    if adjuster.function != AdjusterFunction.TYRE_PRESSURE:
        return True
    tyre = bike.tyres.get(adjuster.end)
    band = tyre.maker_range_kpa.get(tyre.set_state) if tyre else None
    return band is not None and inside(to, adjuster.unit, band)


def _what(end: End, step: ChangeStep) -> str:
    return _("{end} {function}", end=END_WORDS[end], function=function_words(step.function))


def function_words(function: AdjusterFunction) -> str:
    return function.value.replace("_", " ")


def _name(adjuster: AdjusterState) -> str:
    leg = "" if adjuster.leg == "both" else f" ({adjuster.leg.value})"
    return f"{END_WORDS[adjuster.end]} {function_words(adjuster.function)}{leg}"


def _why_not(adjuster: AdjusterState) -> str:
    name = _name(adjuster)
    if not adjuster.usable:
        return _("{name} is broken: no change on it.", name=name)
    if adjuster.proven:
        return _("{name} is proven on this bike: it stays.", name=name)
    if adjuster.position is None and adjuster.function == AdjusterFunction.TYRE_PRESSURE:
        return _(
            "{name}: read it with the gauge, or write what it was last set to, first.", name=name
        )
    if adjuster.position is None:
        return _("{name} is not counted yet: count it first.", name=name)
    if not adjuster.lowest <= adjuster.position <= adjuster.highest:
        if not adjuster.range_counted:
            return _("{name} stands outside its listed range: count its range first.", name=name)
        return _("{name} stands outside its counted range: count it again first.", name=name)
    return ""


def _is_pressure(step: ChangeStep) -> bool:
    return step.function == AdjusterFunction.TYRE_PRESSURE


def _moved(step: ChangeStep, adjuster: AdjusterState) -> AdjusterMove | StepNotPossible:
    position = adjuster.position
    assert position is not None
    low, wanted = _size(step, adjuster)
    sign = adjuster.sign(step.direction)
    left = adjuster.highest - position if sign > 0 else position - adjuster.lowest
    possible = min(wanted, _on_step(left, adjuster.step))
    if possible < low or possible <= 0:
        return StepNotPossible(
            _(
                "{name}: only {left} left that way on this bike. Never force an end.",
                name=_name(adjuster),
                left=f"{left.normalize():f} {adjuster.unit}",
            )
        )
    return AdjusterMove(adjuster, position, position + sign * possible)


def _size(step: ChangeStep, adjuster: AdjusterState) -> tuple[Decimal, Decimal]:
    """The least and the wanted size in the adjuster's own unit.

    A share is of the counted range. A size in another unit (clicks, for an adjuster read in
    turns or by labels) cannot be converted: then it is one step of the adjuster.
    """
    if step.share is not None and adjuster.unit in COUNTED_UNITS:
        return _share_of_range(step, adjuster)
    same = adjuster.unit == step.unit or (step.unit, adjuster.unit) == ("click", "mark")
    if not same:
        return adjuster.step, adjuster.step
    wanted = min(max(SMALL.get(step.unit, step.high), step.low), step.high)
    floor = _on_step(wanted, adjuster.step) or adjuster.step
    return min(step.low, floor), floor


def _share_of_range(step: ChangeStep, adjuster: AdjusterState) -> tuple[Decimal, Decimal]:
    """The share of the counted range, to the nearest step; at least half of it must be left.

    The least and the most of the step are in clicks; an adjuster that is read in turns has
    its own step as the least.
    """
    wanted = (adjuster.highest - adjuster.lowest) * (step.share or 0) / 100
    if adjuster.unit != "turn":
        wanted = min(max(wanted, step.low), step.high)
    steps = max(Decimal(1), (wanted / adjuster.step).to_integral_value(ROUND_HALF_UP))
    half = (steps / 2).to_integral_value(ROUND_CEILING)
    return half * adjuster.step, steps * adjuster.step


def _on_step(amount: Decimal, step: Decimal) -> Decimal:
    """The amount rounded down to a whole number of adjuster steps."""
    if step <= 0:
        return amount
    return (amount / step).to_integral_value(ROUND_FLOOR) * step


def _pressure(
    step: ChangeStep, adjuster: AdjusterState, bike: BikeSetup
) -> AdjusterMove | StepNotPossible:
    tyre = bike.tyres.get(adjuster.end)
    state = tyre.set_state if tyre else TyreState.COLD
    band = tyre.maker_range_kpa.get(state) if tyre else None
    end, words = END_WORDS[adjuster.end], STATE_WORDS[state]
    if adjuster.unit not in PRESSURE_UNITS:
        return StepNotPossible(
            _("{end} tyre pressure is kept without a unit of pressure.", end=end)
        )
    if band is None:
        return StepNotPossible(
            _(
                "No maker's range is entered for this {end} tyre {state}: no figure is suggested.",
                end=end.lower(),
                state=words,
            )
        )
    moved = _moved(_in_unit(step, adjuster.unit), adjuster)
    if isinstance(moved, StepNotPossible) or inside(moved.to, adjuster.unit, band):
        return moved
    return StepNotPossible(
        _(
            "{end} tyre: {to} {unit} is outside the maker's {low:.1f} to {high:.1f} {state}.",
            end=end,
            to=f"{moved.to.normalize():f}",
            unit=adjuster.unit,
            low=_from_kpa(band[0], adjuster.unit),
            high=_from_kpa(band[1], adjuster.unit),
            state=words,
        )
    )


STATE_WORDS = {
    TyreState.COLD: _("cold"),
    TyreState.WARMERS: _("off warmers"),
    TyreState.TRACK: _("off track"),
}


def inside(value: Decimal, unit: str, band_kpa: tuple[float, float]) -> bool:
    """Whether a gauge pressure lies in a maker's range."""
    kpa = convert(value=float(value), unit=unit, to="kPa")
    return band_kpa[0] <= kpa <= band_kpa[1]


def _from_kpa(kpa: float, unit: str) -> float:
    return from_canonical(value=kpa, unit=unit, quantity="pressure")


def _in_unit(step: ChangeStep, unit: str) -> ChangeStep:
    """A step in psi converted to the unit of the pressure: at most 1 psi."""
    if unit == "psi":
        return step
    most = convert(value=float(SMALL["psi"]), unit="psi", to=unit)
    return replace(step, low=Decimal(0), high=Decimal(repr(round(most, 3))), unit=unit)


def _equal_moves(moves: tuple[AdjusterMove, ...], step: ChangeStep) -> tuple[AdjusterMove, ...]:
    """Both legs of a pair move equally far: as far as the one with less room allows."""
    least = min(move.size for move in moves)
    return tuple(
        AdjusterMove(m.adjuster, m.from_, m.from_ + m.adjuster.sign(step.direction) * least)
        for m in moves
    )
