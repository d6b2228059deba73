"""The figures of a chassis: what each is, what it may be, and the unit a tuner types it in.

Kept in mm, deg, N/mm and kg; shown again in the unit they were typed in, which the chassis
remembers by group in ``typed_in``. The bounds are wide: they catch a unit or a decimal point
that went wrong, not an unusual bike.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.tuning.units import from_canonical, to_canonical, units_of

from .enums import End
from .models import Chassis
from .words import plain

# Digits after the decimal point: enough that a figure is shown again as it was typed.
DIGITS = {"mm": 2, "in": 3, "N/mm": 2, "kgf/mm": 3, "lbf/in": 1, "kg": 1, "lb": 1, "deg": 2}


@dataclass(frozen=True)
class UnitGroup:
    """Figures that are typed in one unit together."""

    name: str
    words: Promise
    units: tuple[str, ...]
    quantity: str


LENGTH_UNITS = ("mm", "in")
GROUPS = {
    group.name: group
    for group in (
        UnitGroup("length", gettext_lazy("lengths in"), LENGTH_UNITS, "length"),
        UnitGroup("fork", gettext_lazy("fork springs in"), units_of("rate"), "rate"),
        UnitGroup("shock", gettext_lazy("shock spring in"), units_of("rate"), "rate"),
        UnitGroup("mass", gettext_lazy("weights in"), units_of("mass"), "mass"),
    )
}


@dataclass(frozen=True)
class Figure:
    """One figure: its field of ``Chassis``, its words, its bounds in the unit it is kept in."""

    name: str
    words: str | Promise
    group: str  # of GROUPS; "deg" and "" have no choice of unit
    low: float
    high: float
    end: str = ""  # the end of the bike, where both have one

    @property
    def full_words(self) -> str:
        """ "usable travel, front"."""
        return f"{self.words}, {End(self.end).label}" if self.end else str(self.words)

    def unit(self, typed_in: Mapping[str, str]) -> str:
        if self.group not in GROUPS:
            return self.group
        chosen = typed_in.get(self.group, "")
        return chosen if chosen in GROUPS[self.group].units else GROUPS[self.group].units[0]

    def as_typed(self, chassis: Chassis) -> str:
        """As it was typed: 0.95 where 9.316 N/mm came as kgf/mm; empty where not known."""
        value: Decimal | None = getattr(chassis, self.name)
        if value is None:
            return ""
        if self.group not in GROUPS:
            return plain(value)
        unit, quantity = self.unit(chassis.typed_in), GROUPS[self.group].quantity
        shown = from_canonical(value=float(value), unit=unit, quantity=quantity)
        return plain(Decimal(f"{shown:.{DIGITS[unit]}f}"))

    def with_unit(self, chassis: Chassis) -> str:
        """With its unit: "0.95 kgf/mm", "23.8°"; empty where not known."""
        typed, unit = self.as_typed(chassis), self.unit(chassis.typed_in)
        if not (typed and unit):
            return typed
        return f"{typed}°" if unit == "deg" else f"{typed} {unit}"

    def in_kept_unit(self, typed: Decimal, typed_in: Mapping[str, str]) -> Decimal:
        """In the unit it is kept in. ValidationError where no such figure can be meant."""
        unit = self.unit(typed_in)
        value = float(typed)
        if self.group in GROUPS:
            quantity = GROUPS[self.group].quantity
            value = to_canonical(value=value, unit=unit, quantity=quantity)
        if not self.low <= value <= self.high:
            raise ValidationError(
                _("%(typed)s %(unit)s cannot be meant: look at the unit and the decimal point.")
                % {"typed": plain(typed), "unit": unit}
            )
        places = Chassis._meta.get_field(self.name).decimal_places  # type: ignore[union-attr]
        return Decimal(f"{value:.{places}f}")


def _ends(
    name: str, words: str | Promise, group: str, low: float, high: float
) -> tuple[Figure, Figure]:
    return (
        Figure(f"front_{name}", words, group, low, high, End.FRONT),
        Figure(f"rear_{name}", words, group, low, high, End.REAR),
    )


# Front and rear side by side.
AT_BOTH_ENDS = (
    _ends(
        "usable_travel_mm",
        gettext_lazy("usable travel: fork leg, rear wheel"),
        "length",
        40,
        400,
    ),
    _ends(
        "end_mark_mm",
        gettext_lazy("end mark: fork leg, shock's shaft, left at full travel"),
        "length",
        0,
        100,
    ),
    _ends("preload_mm_per_turn", gettext_lazy("preload, one turn"), "length", 0.1, 5),
    _ends("wheel_radius_mm", gettext_lazy("wheel radius, loaded"), "length", 200, 400),
    _ends("weight_kg", gettext_lazy("on the scales, no rider"), "mass", 20, 250),
    _ends("unsprung_kg", gettext_lazy("of it unsprung"), "mass", 5, 60),
)
SPRINGS = (
    Figure("front_spring_left_n_per_mm", gettext_lazy("fork spring, left leg"), "fork", 2, 40),
    Figure("front_spring_right_n_per_mm", gettext_lazy("fork spring, right leg"), "fork", 2, 40),
    Figure("rear_spring_n_per_mm", gettext_lazy("shock spring"), "shock", 20, 300),
)
GEOMETRY = (
    Figure("rake_deg", gettext_lazy("rake, from the vertical"), "deg", 15, 45),
    Figure("trail_mm", gettext_lazy("trail"), "length", 20, 250),
    Figure("offset_mm", gettext_lazy("fork offset"), "length", -20, 100),
    Figure("wheelbase_mm", gettext_lazy("wheelbase"), "length", 1000, 2000),
)
# The ring at the rear sits on the shock's shaft: its stroke is not the wheel's travel.
STROKE = Figure(
    "rear_shaft_stroke_mm", gettext_lazy("usable stroke of the shock's shaft"), "length", 15, 200
)
RATIO = Figure("motion_ratio", gettext_lazy("motion ratio, shock over wheel"), "", 0.2, 1.1)
BY_END = tuple(figure for pair in AT_BOTH_ENDS for figure in pair)
FIGURES = (*BY_END, *SPRINGS, *GEOMETRY, STROKE, RATIO)
