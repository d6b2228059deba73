"""The spring rates among a bike's figures follow the adjusters that stand for its springs.

Every calculator reads the figure. Where the springs are an adjuster of the bike, the book is
asked after each of its rows, and the figure is written.
"""

from jobs.garage.enums import End, Function, Leg
from jobs.garage.models import Adjuster, Bike

from .. import ledger

FIGURES = {
    (End.FRONT, Leg.LEFT): ("front_spring_left_n_per_mm",),
    (End.FRONT, Leg.RIGHT): ("front_spring_right_n_per_mm",),
    (End.FRONT, Leg.BOTH): ("front_spring_left_n_per_mm", "front_spring_right_n_per_mm"),
}


def spring_figure_write(*, adjuster: Adjuster) -> None:
    """Write the rate that stands in the book; nothing for other adjusters, or without a row."""
    if adjuster.function != Function.SPRING:
        return
    standing = ledger.last_placed(adjuster)
    if standing is None:
        return
    place = End(adjuster.end), Leg(adjuster.leg)
    names = FIGURES.get(place, ("rear_spring_n_per_mm",))
    Bike.objects.filter(pk=adjuster.bike_id).update(**dict.fromkeys(names, standing.to_position))
