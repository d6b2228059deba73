"""The adjusters bikes usually have, to tick off when no model sheet is at hand.

The ranges are the form's initial values; each is counted on the bike itself.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from .enums import End, Firming, Function, Leg, Origin, Unit


@dataclass(frozen=True)
class UsualAdjuster:
    """One adjuster of the list; ``legs`` says whether each fork leg may have its own."""

    end: End
    function: Function
    unit: Unit
    highest: str
    step: str = "1"
    origin: Origin = Origin.CLOSED
    firming: Firming = Firming.DOWN
    lowest: str = "0"
    legs: bool = False

    @property
    def code(self) -> str:
        return f"{self.end.value}-{self.function.value}"

    def fields(self, *, leg: Leg, highest: Decimal, order: int) -> dict[str, Any]:
        return {
            "end": self.end.value,
            "leg": leg.value,
            "function": self.function.value,
            "unit": self.unit.value,
            "step": Decimal(self.step),
            "origin": self.origin.value,
            "firming": self.firming.value,
            "lowest": Decimal(self.lowest),
            "highest": highest,
            "order": order,
        }


UP, OPEN, ZERO = Firming.UP, Origin.OPEN, Origin.ZERO
USUAL_ADJUSTERS = (
    UsualAdjuster(End.FRONT, Function.REBOUND, Unit.CLICK, "20", legs=True),
    UsualAdjuster(End.FRONT, Function.COMPRESSION, Unit.CLICK, "20", legs=True),
    UsualAdjuster(End.FRONT, Function.PRELOAD, Unit.TURN, "10", "0.25", OPEN, UP, legs=True),
    UsualAdjuster(End.FRONT, Function.SPRING, Unit.N_PER_MM, "15", "0.5", ZERO, UP, "5", legs=True),
    UsualAdjuster(End.FRONT, Function.TUBE_HEIGHT, Unit.MM, "15", "0.5", ZERO, UP),
    UsualAdjuster(End.FRONT, Function.TYRE_PRESSURE, Unit.PSI, "45", "0.5", ZERO, UP, "15"),
    UsualAdjuster(End.FRONT, Function.STEERING_DAMPER, Unit.CLICK, "20"),
    UsualAdjuster(End.REAR, Function.REBOUND, Unit.CLICK, "24"),
    UsualAdjuster(End.REAR, Function.COMPRESSION, Unit.CLICK, "20"),
    UsualAdjuster(End.REAR, Function.COMPRESSION_HIGH, Unit.TURN, "4", "0.25"),
    UsualAdjuster(End.REAR, Function.PRELOAD, Unit.TURN, "10", "0.25", OPEN, UP),
    UsualAdjuster(End.REAR, Function.SPRING, Unit.N_PER_MM, "160", "5", ZERO, UP, "40"),
    UsualAdjuster(End.REAR, Function.SHOCK_LENGTH, Unit.MM, "10", "0.5", ZERO, UP),
    UsualAdjuster(End.REAR, Function.TYRE_PRESSURE, Unit.PSI, "45", "0.5", ZERO, UP, "15"),
)
