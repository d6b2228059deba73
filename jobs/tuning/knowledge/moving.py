"""A step on the real adjuster: how far it may go on this bike, or why it may not.

Never past the counted range, never on a broken or proven adjuster, never a tyre
pressure outside the tyre maker's range for the state it is set in.
"""

from collections.abc import Hashable
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal

from ..terms import AdjusterFunction, End, TyreState
from ..units import convert, from_canonical
from ..words import _
from .bike import Adjuster, Bike
from .catalogue import Step
from .facts import END_WORDS

# The trade's small step per unit of a step, where the size range allows it.
SMALL = {"click": Decimal(3), "turn": Decimal(1), "mm": Decimal(2), "psi": Decimal(1)}
PRESSURE_UNITS = frozenset({"psi", "kPa", "bar"})


@dataclass(frozen=True)
class Move:
    """One adjuster, from where it stands to where it should."""

    adjuster: Adjuster
    from_: Decimal
    to: Decimal

    @property
    def key(self) -> Hashable:
        return self.adjuster.key

    @property
    def size(self) -> Decimal:
        return abs(self.to - self.from_)


@dataclass(frozen=True)
class Withheld:
    """A step that was wanted and may not be offered, and why."""

    why: str


def moves_of(step: Step, end: End, bike: Bike) -> tuple[Move, ...] | Withheld:
    """The moves of one change of mind: one adjuster, or the pair in both legs."""
    adjusters = bike.of(end, step.function)
    if not adjusters:
        return Withheld(_("{what} cannot be set on this bike.", what=_what(end, step)))
    moves = []
    for adjuster in adjusters:
        barred = _barred(adjuster)
        if barred:
            return Withheld(barred)
        moved = _pressure(step, adjuster, bike) if _is_pressure(step) else _turned(step, adjuster)
        if isinstance(moved, Withheld):
            return moved
        moves.append(moved)
    return _alike(tuple(moves), step)


def may_stand(adjuster: Adjuster, to: Decimal, bike: Bike) -> bool:
    """Whether an adjuster may be put to a position: the rule every suggestion obeys."""
    if not adjuster.open_to_change or not adjuster.lowest <= to <= adjuster.highest:
        return False
    if adjuster.function != AdjusterFunction.TYRE_PRESSURE:
        return True
    tyre = bike.tyres.get(adjuster.end)
    band = tyre.maker_range_kpa.get(tyre.set_state) if tyre else None
    return band is not None and inside(to, adjuster.unit, band)


def _what(end: End, step: Step) -> str:
    return _("{end} {function}", end=END_WORDS[end], function=function_words(step.function))


def function_words(function: AdjusterFunction) -> str:
    return function.value.replace("_", " ")


def _name(adjuster: Adjuster) -> str:
    leg = "" if adjuster.leg == "both" else f" ({adjuster.leg.value})"
    return f"{END_WORDS[adjuster.end]} {function_words(adjuster.function)}{leg}"


def _barred(adjuster: Adjuster) -> str:
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
        return _("{name} stands outside its counted range: count it again first.", name=name)
    return ""


def _is_pressure(step: Step) -> bool:
    return step.function == AdjusterFunction.TYRE_PRESSURE


def _turned(step: Step, adjuster: Adjuster) -> Move | Withheld:
    position = adjuster.position
    assert position is not None
    low, wanted = _size(step, adjuster)
    way = adjuster.way(step.direction)
    left = adjuster.highest - position if way > 0 else position - adjuster.lowest
    possible = min(wanted, _on_step(left, adjuster.step))
    if possible < low or possible <= 0:
        return Withheld(
            _(
                "{name}: only {left} left that way on this bike. Never force an end.",
                name=_name(adjuster),
                left=f"{left.normalize():f} {adjuster.unit}",
            )
        )
    return Move(adjuster, position, position + way * possible)


def _size(step: Step, adjuster: Adjuster) -> tuple[Decimal, Decimal]:
    """The least and the wanted size in the adjuster's own unit.

    Where the sources speak of another unit (clicks, on an adjuster read in turns or by
    labels) no figure can be converted: one step of the adjuster is the smallest move.
    """
    same = adjuster.unit == step.unit or (step.unit, adjuster.unit) == ("click", "mark")
    if not same:
        return adjuster.step, adjuster.step
    wanted = min(max(SMALL.get(step.unit, step.high), step.low), step.high)
    floor = _on_step(wanted, adjuster.step) or adjuster.step
    return min(step.low, floor), floor


def _on_step(amount: Decimal, step: Decimal) -> Decimal:
    """The largest whole number of adjuster steps inside an amount."""
    if step <= 0:
        return amount
    return (amount / step).to_integral_value(ROUND_FLOOR) * step


def _pressure(step: Step, adjuster: Adjuster, bike: Bike) -> Move | Withheld:
    tyre = bike.tyres.get(adjuster.end)
    state = tyre.set_state if tyre else TyreState.COLD
    band = tyre.maker_range_kpa.get(state) if tyre else None
    end, words = END_WORDS[adjuster.end], STATE_WORDS[state]
    if adjuster.unit not in PRESSURE_UNITS:
        return Withheld(_("{end} tyre pressure is kept without a unit of pressure.", end=end))
    if band is None:
        return Withheld(
            _(
                "No maker's range is entered for this {end} tyre {state}: no figure is suggested.",
                end=end.lower(),
                state=words,
            )
        )
    moved = _turned(_in_unit(step, adjuster.unit), adjuster)
    if isinstance(moved, Withheld) or inside(moved.to, adjuster.unit, band):
        return moved
    return Withheld(
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


def _in_unit(step: Step, unit: str) -> Step:
    """A step in psi, in the unit the pressure is kept in: at most 1 psi, on its own steps."""
    if unit == "psi":
        return step
    most = convert(value=float(SMALL["psi"]), unit="psi", to=unit)
    return replace(step, low=Decimal(0), high=Decimal(repr(round(most, 3))), unit=unit)


def _alike(moves: tuple[Move, ...], step: Step) -> tuple[Move, ...]:
    """Both legs of a pair go equally far: as far as the one with less room."""
    least = min(move.size for move in moves)
    return tuple(
        Move(m.adjuster, m.from_, m.from_ + m.adjuster.way(step.direction) * least) for m in moves
    )
