"""The trade's own figures: ranges, with who says what, because sources disagree.

None of these is a truth. They are shipped so that a tuner can see the spread and set his
own; everything here is common practice, no source to be trusted over another. The sag bands
and rises are from the guides named; how far each is right for a bike is the tuner's judgement.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .refusal import Refused, number
from .words import _


@dataclass(frozen=True)
class Practice:
    """One figure of the trade: every published band, and the unit.

    >>> PRACTICES["sag_front_rider"].low, PRACTICES["sag_front_rider"].high
    (25, 35)
    """

    key: str
    label: str
    unit: str
    bands: tuple[tuple[float, float], ...]

    @property
    def low(self) -> float:
        return min(low for low, _high in self.bands)

    @property
    def high(self) -> float:
        return max(high for _low, high in self.bands)

    @property
    def disagree(self) -> bool:
        return len(set(self.bands)) > 1


@dataclass(frozen=True)
class Target:
    """The band in force: the tuner's own, or the whole published spread."""

    practice: Practice
    low: float
    high: float
    own: bool

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


PRACTICES: dict[str, Practice] = {
    practice.key: practice
    for practice in (
        Practice("sag_front_rider", _("front sag with rider, track"), "mm", ((25, 30), (25, 35))),
        # Both from memory; many guides name none for the front.
        Practice("sag_front_free", _("front free sag"), "mm", ((15, 20), (20, 25))),
        Practice("sag_rear_rider", _("rear sag with rider, track"), "mm", ((25, 30), (25, 35))),
        Practice("sag_rear_free", _("rear free sag"), "mm", ((0, 5), (2, 17), (5, 10))),
        Practice("rise_front", _("front pressure rise, cold to hot"), "psi", ((2, 4), (3, 4))),
        Practice("rise_rear", _("rear pressure rise, cold to hot"), "psi", ((5, 7), (6, 8))),
        Practice("travel_used", _("travel used"), "%", ((65, 85),)),
        Practice("pace_trigger", _("pace gain that reopens a setup"), "s", ((3, 3),)),
    )
}


def target(key: str, own: Mapping[str, tuple[float, float]] | None = None) -> Target:
    """The band for ``key``: from the tuner's ``own`` table, else the published spread.

    >>> target("sag_rear_free").low, target("sag_rear_free").high
    (0, 17)
    >>> target("sag_rear_free", {"sag_rear_free": (5, 10)}).own
    True
    """
    practice = PRACTICES.get(key)
    if practice is None:
        raise Refused(_("There is no such figure: {key}.", key=key))
    if own and key in own:
        low, high = own_band(*own[key])
        return Target(practice, low, high, own=True)
    return Target(practice, practice.low, practice.high, own=False)


def own_band(low: float, high: float) -> tuple[float, float]:
    """A tuner's own band, its ends in order and not below zero.

    >>> own_band(25, 30)
    (25.0, 30.0)
    """
    first, last = number(low, _("from")), number(high, _("to"))
    if not 0 <= first <= last:
        raise Refused(
            _(
                "A band runs from a lower to a higher figure, not below zero; {low:g} to {high:g} "
                "was given.",
                low=first,
                high=last,
            )
        )
    return first, last
