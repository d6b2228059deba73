"""Where a bike stands, made ready to show: adjusters by end, with their rulers.

The bike sheet and the customer's page show the same cards.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import End, Leg, Origin, Unit
from jobs.garage.models import Adjuster
from jobs.plots.ruler import Ruler, ruler

from . import sentences
from .enums import RowKind
from .models import Reading
from .reading_kinds import TYRE_PRESSURE
from .selectors import Standing


@dataclass(frozen=True)
class AdjusterCard:
    """One adjuster, or both legs of a pair that stand alike."""

    standing: Standing
    legs: Sequence[Standing]
    unequal: bool = False
    # Of a tyre: the newest pressure read in each state of the tyre.
    pressures: Sequence[Reading] = ()

    @property
    def shown(self) -> str:
        """The large figure: where it stands; a tyre never set, what was read of it."""
        if self.standing.position is not None or not self.pressures:
            return self.standing.now_words
        return sentences.side_by_side(self.pressures)

    @property
    def adjuster(self) -> Adjuster:
        return self.standing.adjuster

    @property
    def name(self) -> str:
        if len(self.legs) < 2:
            return self.standing.name
        return f"{capfirst(str(self.adjuster.get_function_display()))}, {Leg.BOTH.label}"

    @property
    def full_name(self) -> str:
        """With its end."""
        return words.pair_name(self.adjuster) if len(self.legs) > 1 else self.standing.full_name

    @property
    def picture(self) -> SafeString:
        if self.standing.is_pressure and self.standing.position is None:
            return SafeString()
        return adjuster_ruler(self.adjuster, self.standing.position, self.standing.arrived)

    @property
    def aside(self) -> str:
        """Since arrival, when last moved and on what oil, and who found it so."""
        row = self.standing.row
        if self.standing.is_pressure:
            return self._tyre_aside()
        if row is None:
            return _("not counted yet")
        oil = sentences.oil_words(row.oil_state)
        if row.kind != RowKind.CHANGE and not self.standing.moved:
            return " · ".join(part for part in (_("as arrived"), oil) if part)
        since = _("%(moved)s since arrived") % {"moved": self.standing.since_arrived}
        if not self.standing.moved:
            since = _("back as arrived")
        return " · ".join(part for part in (since, oil) if part)

    def _tyre_aside(self) -> str:
        """Whether it was set, and what was read in each state of the tyre."""
        read = [
            f"{r.get_tyre_state_display()} {sentences.short(r.kind, r.measurements.all())}".strip()
            for r in self.pressures
        ]
        return " · ".join([self._tyre_set, *read])

    @property
    def _tyre_set(self) -> str:
        standing = self.standing
        if standing.row is not None:
            return _("as set")
        if standing.before is not None:
            was = words.position_short(self.adjuster, standing.before.to_position)
            return _("another tyre since %(was)s was set") % {"was": was}
        return _("read, not set")


@dataclass(frozen=True)
class EndOfBike:
    end: End
    cards: Sequence[AdjusterCard]


def ends(standings: Iterable[Standing], readings: Iterable[Reading] = ()) -> list[EndOfBike]:
    """Front and rear, each with its cards; an end without adjusters is shown empty.

    ``readings`` are the newest of each kind, end and state of the tyre.
    """
    pressures: dict[str, list[Reading]] = {}
    for reading in readings:
        if reading.kind == TYRE_PRESSURE.name:
            pressures.setdefault(reading.end, []).append(reading)
    by_end: dict[str, list[Standing]] = {End.FRONT: [], End.REAR: []}
    for standing in standings:
        by_end[standing.adjuster.end].append(standing)
    return [
        EndOfBike(End(end), _cards(group, pressures.get(end, ()))) for end, group in by_end.items()
    ]


def _cards(standings: Sequence[Standing], pressures: Sequence[Reading]) -> list[AdjusterCard]:
    pairs: dict[object, list[Standing]] = {}
    for standing in standings:
        pairs.setdefault(standing.adjuster.pair or standing.adjuster.pk, []).append(standing)
    cards = []
    for legs in pairs.values():
        alike = len({(leg.position, leg.arrived) for leg in legs}) == 1
        if len(legs) > 1 and alike:
            cards.append(AdjusterCard(legs[0], legs))
        else:
            unequal = len(legs) > 1 and len({leg.position for leg in legs}) > 1
            for leg in legs:
                read = [r for r in pressures if leg.is_pressure and leg.of_this_tyre(r)]
                cards.append(AdjusterCard(leg, [leg], unequal, read))
    return cards


def adjuster_ruler(
    adjuster: Adjuster, now: Decimal | None, was: Decimal | None = None
) -> SafeString:
    """The adjuster's ruler with where it stands and stood."""
    left, right = words.end_words(adjuster)
    drawn = Ruler(
        low=float(adjuster.lowest),
        high=float(adjuster.highest),
        step=float(adjuster.step),
        left_words=left,
        right_words=right,
        now=None if now is None else float(now),
        was=None if was is None else float(was),
        closed_high=adjuster.origin == Origin.OPEN,
        labels=adjuster.labels if adjuster.unit == Unit.LABEL else (),
    )
    return mark_safe(ruler(drawn, alt=_alternative(adjuster, now, was)))  # noqa: S308 - escaped there


def _alternative(adjuster: Adjuster, now: Decimal | None, was: Decimal | None) -> str:
    said = f"{words.adjuster_name(adjuster)}: {words.position(adjuster, now)}"
    if was is None or was == now:
        return said
    return f"{said}, {words.difference(adjuster, was, now)}"
