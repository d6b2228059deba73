"""One bike's fork springs as an adjuster, and their swap, told by the ring before it is ridden."""

from decimal import Decimal

from jobs.advice.selectors import ring_outlook_of
from jobs.garage.enums import End, Function, Leg
from jobs.garage.services import adjusters_add
from jobs.garage.usual_adjusters import USUAL_ADJUSTERS

from .acts import readings
from .player import DayPlayer, Payload, StoryStep, minute
from .readings import sag

# Wim Oosterlo: the fork uses nearly all of its travel. The rings after the swap: ``readings``.
SWAPPED, BY_N_PER_MM = 5, Decimal(1)


def spring_adjusters_add(player: DayPlayer) -> None:
    """The fork springs of that bike, as the page *Set up* adds them."""
    usual = next(
        one for one in USUAL_ADJUSTERS if (one.end, one.function) == (End.FRONT, Function.SPRING)
    )
    fields = usual.fields(leg=Leg.BOTH, highest=Decimal(usual.highest), order=20)
    adjusters_add(bike=player.entries[SWAPPED].bike, adjusters=[fields])


def spring_swap() -> list[StoryStep]:
    """The sag is read, the springs are changed, and what the ring should show is written."""
    front_sag = [one for one in sag(SWAPPED) if one["end"] == End.FRONT]
    return [
        *readings(minute("12:16"), SWAPPED, front_sag, "wim-sag"),
        StoryStep(minute("12:30"), "roan", "change", _swap, "wim-springs"),
    ]


def _swap(player: DayPlayer) -> Payload:
    entry = player.entries[SWAPPED]
    [springs] = player.adjuster(SWAPPED, End.FRONT, Function.SPRING)
    start = player.stands_at(springs)
    told = ring_outlook_of(entry, [(springs, start, start + BY_N_PER_MM)])
    assert told is not None
    return {
        "entry": entry.pk,
        "moves": [
            {
                "adjuster": springs.pk,
                "from_position": str(start),
                "to_position": str(start + BY_N_PER_MM),
            }
        ],
        "reason": "heavy rider on soft springs: the fork goes deep on the brakes",
        "read_back": True,
        "expectation": told.sentence,
    }
