"""Kept setups side by side, and the way back to one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from jobs.garage import words
from jobs.garage.models import Adjuster, Bike

from .. import sentences
from ..models import KeptSetup
from .positions import Standing


@dataclass(frozen=True)
class Difference:
    """One adjuster that has to move to get from one setup to another."""

    adjuster: Adjuster
    from_position: Decimal
    to_position: Decimal
    legs: tuple[Adjuster, ...] = ()  # both, where a pair moves alike

    @property
    def name(self) -> str:
        if len(self.legs) > 1:
            return words.pair_name(self.adjuster)
        return words.adjuster_name(self.adjuster)

    @property
    def from_words(self) -> str:
        return words.position_short(self.adjuster, self.from_position)

    @property
    def to_words(self) -> str:
        return words.position_short(self.adjuster, self.to_position)

    @property
    def moves(self) -> str:
        return words.difference(self.adjuster, self.from_position, self.to_position)


def kept_setups_of_bike(bike: Bike) -> QuerySet[KeptSetup]:
    return (
        KeptSetup.objects.filter(bike=bike, withdrawn_at=None)
        .select_related("entry__trackday__venue", "by")
        .prefetch_related("positions__adjuster", "readings__reading__measurements")
    )


def pressures_kept(kept: KeptSetup) -> dict[str, str]:
    """The pressures that were read, by end: "30 psi cold, 33.5 psi off track"."""
    found: dict[str, list[str]] = {}
    for one in kept.readings.all():
        reading = one.reading
        if reading.withdrawn_at is None:
            said = [sentences.short(reading.kind, reading.measurements.all())]
            said += [str(reading.get_tyre_state_display())] if reading.tyre_state else []
            found.setdefault(reading.end, []).append(" ".join(said))
    return {end: ", ".join(said) for end, said in found.items()}


def way_back(standings: Sequence[Standing], target: Mapping[int, Decimal]) -> list[Difference]:
    """The changes that bring the bike from where it stands to ``target`` (by adjuster id).

    Legs of a pair that move alike are one step. A broken adjuster and one never counted
    are left out: nothing can be done on them.
    """
    together: dict[object, list[Adjuster]] = {}
    moves: dict[object, tuple[Decimal, Decimal]] = {}
    for s in standings:
        wanted = target.get(s.adjuster.pk)
        if wanted is None or s.position in (None, wanted) or not s.adjuster.usable:
            continue
        key = (s.adjuster.pair or s.adjuster.pk, s.position, wanted)
        together.setdefault(key, []).append(s.adjuster)
        moves[key] = (s.position, wanted)
    return [Difference(legs[0], *moves[key], legs=tuple(legs)) for key, legs in together.items()]


def compared(
    adjusters: Sequence[Adjuster], setups: Sequence[Mapping[int, Decimal]]
) -> list[tuple[Adjuster, list[str]]]:
    """Every adjuster with its position in words in each of the setups."""
    return [
        (adjuster, [words.position_short(adjuster, setup.get(adjuster.pk)) for setup in setups])
        for adjuster in adjusters
    ]
