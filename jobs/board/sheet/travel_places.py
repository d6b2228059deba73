"""The question where the travel of a bike was read, while there are readings that do not say so."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.garage.enums import TravelPlace
from jobs.garage.models import Bike
from jobs.setups import sentences
from jobs.setups.models import Reading
from jobs.setups.reading_kinds import TRAVEL
from jobs.setups.selectors import travel_without_place


@dataclass(frozen=True)
class TravelPlaceQuestion:
    """The newest reading that does not say where it was taken, how many more, the answers."""

    newest: Reading
    more: int
    answers: Sequence[tuple[str, str]]

    @property
    def said(self) -> str:
        return sentences.short(self.newest.kind, self.newest.measurements.all())


def travel_place_question(bike: Bike) -> TravelPlaceQuestion | None:
    """None: every travel reading of the bike says where it was taken. Two queries at most."""
    rows = travel_without_place(bike)
    if not rows:
        return None
    places = TRAVEL.places_to_choose(rows[0].end)
    answers = [(place.value, str(TravelPlace(place).label)) for place in places]
    return TravelPlaceQuestion(rows[0], len(rows) - 1, answers)
