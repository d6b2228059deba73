"""What the calculators give for the newest readings of a bike, for the sheet."""

from jobs.acts.tablets import shows_money
from jobs.calculators.reading_context import reading_context_of
from jobs.calculators.reading_input import reading_from_book
from jobs.calculators.results import CalculatorResult, calculator_results
from jobs.people.access import SignedIn
from jobs.setups.models import Reading
from jobs.setups.selectors import last_readings

from .bike_header import BikeHeader


def results_of_readings(
    request: SignedIn, head: BikeHeader, readings: list[Reading]
) -> list[CalculatorResult]:
    """What the newest readings of each kind, end and state come to. Five queries."""
    if not readings:
        return []
    context = reading_context_of(
        head.entry,
        tyres=head.tyres,
        oil=head.oil,
        minutes=head.minutes_since_stop,
        money=shows_money(request),  # only to whom it is shown
    )
    return calculator_results([reading_from_book(one) for one in last_readings(readings)], context)
