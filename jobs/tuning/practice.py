"""Figures of common practice, each with every published range, because sources disagree.

They are there so that a tuner can see how far the sources differ and set figures of their own.
All are common practice, and no source is better than another. The sag ranges and pressure
rises are from published guides; whether they suit a bike is the tuner's judgement.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .argument_checks import checked
from .refusal import Refused, number
from .terms import End, RiderPace
from .words import _


@checked
@dataclass(frozen=True)
class Practice:
    """One figure of common practice: every published range, and the unit.

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


@checked
@dataclass(frozen=True)
class Target:
    """The range in use: the tuner's own, or from the lowest to the highest published value."""

    practice: Practice
    low: float
    high: float
    own: bool

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@checked
def travel_key(end: str, pace: str) -> str:
    """The key of the share of travel that is meant to be used at an end, for riders of a pace.

    A group of which nobody said how fast it rides counts as one in the middle.

    >>> travel_key("rear", "")
    'travel_rear_middle'
    """
    return f"travel_{End(end)}_{RiderPace(pace or RiderPace.MIDDLE)}"


# The part of the travel a session on a dry track is meant to use, at the place where it was
# read. A quick rider uses nearly all of a fork; at the rear less is used, because the end of
# a shock's travel is its bump rubber. Common practice, no source.
TRAVEL_USED = (
    Practice("travel_front_novice", _("front travel used, novice group"), "%", ((55, 80),)),
    Practice("travel_front_middle", _("front travel used, middle group"), "%", ((65, 85),)),
    Practice("travel_front_quick", _("front travel used, quick group"), "%", ((75, 95),)),
    Practice("travel_rear_novice", _("rear travel used, novice group"), "%", ((50, 75),)),
    Practice("travel_rear_middle", _("rear travel used, middle group"), "%", ((60, 80),)),
    Practice("travel_rear_quick", _("rear travel used, quick group"), "%", ((65, 90),)),
)

# The hottest place of a tyre's surface just off a dry track, by a probe or a pyrometer in the
# pit lane, and how far places across the tread may differ before it is said. Common practice,
# no source, from memory: tyres, tracks and instruments differ, and a business sets its own.
TYRE_HEAT = (
    Practice("heat_front", _("front tyre surface just off track, dry"), "°C", ((40, 95),)),
    Practice("heat_rear", _("rear tyre surface just off track, dry"), "°C", ((45, 105),)),
    Practice("heat_apart_front", _("front tyre, difference across it"), "°C", ((0, 20),)),
    Practice("heat_apart_rear", _("rear tyre, difference across it"), "°C", ((0, 20),)),
)

# How far one rider's rings scatter from outing to outing, standard deviation, quiet to erratic
# riders. Simulated riders of ours, no source: `manage.py outlook` prints that of the own book.
RING_SCATTER = (
    Practice("ring_front", _("front ring, scatter of one rider"), "mm", ((1.3, 3.8),)),
    Practice("ring_rear", _("ring on the shock's shaft, scatter of one rider"), "mm",
             ((0.38, 0.95),)),
)  # fmt: skip

PRACTICES: dict[str, Practice] = {
    practice.key: practice
    for practice in (
        Practice("sag_front_rider", _("front sag with rider, track"), "mm", ((25, 30), (25, 35))),
        # Both from memory; many guides give none for the front.
        Practice("sag_front_free", _("front free sag"), "mm", ((15, 20), (20, 25))),
        Practice("sag_rear_rider", _("rear sag with rider, track"), "mm", ((25, 30), (25, 35))),
        Practice("sag_rear_free", _("rear free sag"), "mm", ((0, 5), (2, 17), (5, 10))),
        Practice("rise_front", _("front pressure rise, cold to hot"), "psi", ((2, 4), (3, 4))),
        Practice("rise_rear", _("rear pressure rise, cold to hot"), "psi", ((5, 7), (6, 8))),
        *TYRE_HEAT,
        *TRAVEL_USED,
        *RING_SCATTER,
        # Common practice, no source: one pass and then still is often wanted of a fork.
        Practice("passes_front", _("front push, passes over rest wanted"), "", ((0, 1),)),
        Practice("passes_rear", _("rear push, passes over rest wanted"), "", ((0, 0),)),
        Practice("pace_trigger", _("pace gain that reopens a setup"), "s", ((3, 3),)),
    )
}


@checked
def target(key: str, own: Mapping[str, tuple[float, float]] | None = None) -> Target:
    """The range for ``key``: from the tuner's ``own`` table, else from all published ranges.

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


@checked
def own_band(low: float, high: float) -> tuple[float, float]:
    """A tuner's own range, if its ends are in order and not below zero.

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
