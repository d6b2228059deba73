"""The figures of a chassis: typed in any unit, kept in one, shown again as they were typed."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from jobs.garage.figures import DIGITS, FIGURES, GROUPS, Figure
from jobs.garage.models import Bike
from jobs.garage.services import figures_write
from jobs.people.models import Customer, Edit
from jobs.tuning.units import from_canonical

BY_NAME = {figure.name: figure for figure in FIGURES}


@st.composite
def typed(draw):
    """A figure, a unit and a number that can be meant, with as many digits as people type."""
    figure = draw(st.sampled_from(FIGURES))
    if figure.group not in GROUPS:
        unit, low, high = figure.group, figure.low, figure.high
        digits = 2 if figure.group else 3
    else:
        group = GROUPS[figure.group]
        unit = draw(st.sampled_from(group.units))
        low, high = (
            from_canonical(value=end, unit=unit, quantity=group.quantity)
            for end in (figure.low, figure.high)
        )
        digits = DIGITS[unit]
    number = draw(st.decimals(f"{low:.4f}", f"{high:.4f}", places=digits, allow_nan=False))
    return figure, unit, number


@given(typed())
def test_a_figure_is_shown_again_as_it_was_typed(case):
    figure, unit, number = case
    typed_in = {figure.group: unit}
    try:
        kept = figure.in_kept_unit(number, typed_in)
    except ValidationError:  # on the very end of its bounds
        return
    bike = Bike(typed_in=typed_in, **{figure.name: kept})
    assert Decimal(figure.as_typed(bike)) == number


@pytest.mark.parametrize(
    ("name", "unit", "number", "kept"),
    [
        # NIST SP 811 (2008), appendix B.8: 1 kgf = 9.80665 N, 1 lbf/in = 0.1751268 N/mm.
        ("front_spring_left_n_per_mm", "kgf/mm", "0.95", "9.316"),
        ("rear_spring_n_per_mm", "lbf/in", "450", "78.807"),
        ("front_usable_travel_mm", "in", "4.724", "119.99"),
        ("rear_weight_kg", "lb", "220", "99.79"),
    ],
)
def test_units_are_those_of_the_standard(name, unit, number, kept):
    figure = BY_NAME[name]
    assert figure.in_kept_unit(Decimal(number), {figure.group: unit}) == Decimal(kept)


@pytest.mark.parametrize(
    ("name", "unit", "number"),
    [
        ("front_spring_left_n_per_mm", "N/mm", "0.95"),  # kgf/mm was meant
        ("rear_spring_n_per_mm", "N/mm", "450"),  # lbf/in was meant
        ("front_usable_travel_mm", "mm", "4.7"),  # inches were meant
        ("rake_deg", "", "66"),  # from the ground, not from the vertical
        ("motion_ratio", "", "1.9"),  # wheel over shock
    ],
)
def test_a_unit_that_went_wrong_is_named(name, unit, number):
    figure: Figure = BY_NAME[name]
    with pytest.raises(ValidationError, match="look at the unit and the decimal point"):
        figure.in_kept_unit(Decimal(number), {figure.group: unit})


@pytest.mark.django_db
def test_who_changed_a_figure_is_kept_and_only_what_differs_is_written(tuner):
    owner = Customer.objects.create(name="Ada")
    bike = Bike.objects.create(owner=owner, make="Corvane", model="650 R")
    values = {"rake_deg": Decimal("24"), "trail_mm": None}
    assert figures_write(chassis=bike, by=tuner, figures=values, typed_in={}) == ["rake_deg"]
    assert figures_write(chassis=bike, by=tuner, figures=values, typed_in={}) == []
    edit = Edit.objects.get(what="bike")
    assert (edit.by, edit.changes) == (tuner, {"rake_deg": ["", "24"]})
