"""The steps of one adjuster offered as buttons."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from jobs.garage import words
from jobs.garage.enums import Unit
from jobs.garage.models import Adjuster
from jobs.setups.limits import in_range

SIZES = {
    Unit.CLICK: "1 2 3",
    Unit.MARK: "1 2 3",
    Unit.TURN: "0.25 0.5 1",
    Unit.MM: "0.5 1 2 3",
    Unit.N_PER_MM: "0.25 0.5 1 5 10",
    Unit.PSI: "0.5 1 2",
    Unit.KPA: "5 10",
    Unit.BAR: "0.05 0.1",
}


@dataclass(frozen=True)
class StepButton:
    """One button: how far, what it says, and whether the adjuster goes there."""

    by: Decimal
    words: str
    possible: bool


@dataclass(frozen=True)
class Direction:
    """One way to turn, and what should be seen next time once it was (``expected``)."""

    words: str
    taps: list[StepButton]
    way: str = ""  # up or down: which way the number goes
    expected: list[str] = field(default_factory=list)


def directions(
    adjuster: Adjuster,
    position: Decimal,
    most: Decimal | None,
    expected: Mapping[int, list[str]],
) -> list[Direction]:
    """The larger numbers first, then the smaller; a mode shows all its positions at once.

    ``most``: what the business moves in one go without a reason; no button goes further.
    """
    if adjuster.unit == Unit.LABEL:
        return [Direction("", _modes(adjuster, position))]
    sizes = _sizes(adjuster, most or adjuster.step)
    return [
        Direction(
            words.turning(adjuster, more=sign > 0),
            _step_buttons(adjuster, position, sizes, sign),
            "up" if sign > 0 else "down",
            expected.get(sign, []),
        )
        for sign in (1, -1)
    ]


def _sizes(adjuster: Adjuster, most: Decimal) -> list[Decimal]:
    """Multiples of the adjuster's step, up to the usual most."""
    wanted = [Decimal(size) for size in SIZES[Unit(adjuster.unit)].split()]
    if adjuster.unit == Unit.N_PER_MM:
        most = 2 * adjuster.step  # springs are made in steps: the next one, and the one after
    return [size for size in wanted if size % adjuster.step == 0 and size <= most] or [
        adjuster.step
    ]


def _step_buttons(
    adjuster: Adjuster, position: Decimal, sizes: list[Decimal], sign: int
) -> list[StepButton]:
    mark = "+" if sign > 0 else "−"
    return [
        StepButton(
            size * sign,
            f"{mark}{_size(adjuster, size)}",
            in_range(adjuster, position + size * sign),
        )
        for size in sizes
    ]


def _size(adjuster: Adjuster, size: Decimal) -> str:
    if adjuster.unit == Unit.TURN:
        return words.amount(adjuster, size).split()[0]
    return words.plain(size)


def _modes(adjuster: Adjuster, position: Decimal) -> list[StepButton]:
    places = (adjuster.lowest + index for index in range(len(adjuster.labels)))
    return [
        StepButton(place - position, words.position_short(adjuster, place), place != position)
        for place in places
    ]
