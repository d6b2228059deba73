"""What reopens a settled bike, and the two things to watch then.

Common practice, no source; the limits are the business's own.
"""

from dataclasses import dataclass
from enum import StrEnum

from ..pace import OutingPace, pace_change, reopens
from ..refusal import Refused
from ..words import _
from .limits import Limits


class ReopenTrigger(StrEnum):
    PACE = "pace"
    TYRE = "tyre"
    RAIN = "rain"
    CRASH = "crash"
    RIDER = "rider"
    PARTS = "parts"  # spring, oil, gearing, linkage
    WEIGHT = "weight"
    OTHER_HAND = "other_hand"


# The two things to watch when a bike is reopened, per trigger. Common practice, no source.
WATCH: dict[ReopenTrigger, tuple[str, str]] = {
    ReopenTrigger.PACE: (_("wide on power"), _("unstable on the brakes")),
    ReopenTrigger.TYRE: (_("turn-in: another height or profile"), _("hot pressure and its rise")),
    ReopenTrigger.RAIN: (_("softer everywhere: grip is less"), _("keep the dry setup")),
    ReopenTrigger.CRASH: (
        _("fork twist, bars, levers, axle"),
        _("the organiser's inspection first"),
    ),
    ReopenTrigger.RIDER: (_("sag with this rider"), _("travel used")),
    ReopenTrigger.PARTS: (_("sag at both ends"), _("hot push test")),
    ReopenTrigger.WEIGHT: (_("sag with this weight"), _("travel used")),
    ReopenTrigger.OTHER_HAND: (_("every position, counted again"), _("hot push test")),
}


@dataclass(frozen=True)
class ReopenReason:
    trigger: ReopenTrigger
    words: str

    @property
    def watch(self) -> tuple[str, str]:
        return WATCH[self.trigger]


@dataclass(frozen=True)
class SettledReference:
    """The conditions in which a bike was settled."""

    pace: OutingPace | None = None
    wet: bool | None = None
    track_c: float | None = None
    rider: str = ""
    weight_kg: float | None = None
    layout: str = ""


@dataclass(frozen=True)
class CurrentState:
    """The same conditions now, and what has happened since, in words (empty: nothing).

    ``other_hand``: adjusters found at another position than in the book. ``word``: what the
    rider says of the pace compared with the outing before; used only without lap times.
    """

    pace: OutingPace | None = None
    word: str = ""
    wet: bool | None = None
    track_c: float | None = None
    rider: str = ""
    weight_kg: float | None = None
    layout: str = ""
    tyre: str = ""
    crash: str = ""
    parts: str = ""
    other_hand: str = ""


WEIGHT_KG = 5.0  # common practice, no source: less than a tank of fuel does not count


def reopened(
    reference: SettledReference, now: CurrentState, limits: Limits | None = None
) -> tuple[ReopenReason, ...]:
    """The reasons to look at a settled bike again; empty: it stays settled.

    >>> found, = reopened(SettledReference(wet=False), CurrentState(wet=True))
    >>> found.trigger.value, found.watch[1]
    ('rain', 'keep the dry setup')
    """
    limits = limits or Limits()
    found = []
    faster = _faster(reference, now, limits)
    if faster:
        found.append(ReopenReason(ReopenTrigger.PACE, faster))
    happened = (
        (ReopenTrigger.TYRE, now.tyre),
        (ReopenTrigger.RAIN, _("it is wet") if now.wet and reference.wet is False else ""),
        (ReopenTrigger.CRASH, now.crash),
        (ReopenTrigger.RIDER, _new_rider(reference, now)),
        (ReopenTrigger.PARTS, now.parts),
        (ReopenTrigger.WEIGHT, _weight(reference, now)),
        (ReopenTrigger.OTHER_HAND, now.other_hand),
    )
    return (*found, *(ReopenReason(trigger, words) for trigger, words in happened if words))


def _faster(reference: SettledReference, now: CurrentState, limits: Limits) -> str:
    if reference.pace is None or now.pace is None:
        quicker = now.pace is None and now.word == "faster"
        return _("quicker, by the rider's word: no lap times") if quicker else ""
    try:
        change = pace_change(before=reference.pace, after=now.pace)
        again, words = reopens(
            change=change,
            same_layout=reference.layout == now.layout,
            same_wetness=reference.wet == now.wet,
            trigger_s=limits.pace_trigger_s,
        )
    except Refused:
        return ""
    return words if again else ""


def _new_rider(reference: SettledReference, now: CurrentState) -> str:
    if reference.rider and now.rider and reference.rider != now.rider:
        return _("another rider: {rider}", rider=now.rider)
    return ""


def _weight(reference: SettledReference, now: CurrentState) -> str:
    if reference.weight_kg is None or now.weight_kg is None:
        return ""
    change = now.weight_kg - reference.weight_kg
    return _("weight {change:+.0f} kg", change=change) if abs(change) >= WEIGHT_KG else ""


def track_line(reference_c: float | None, now_c: float | None, limits: Limits | None = None) -> str:
    """One line for the board when the track is 10 degC hotter or colder; else empty.

    >>> track_line(24, 36)
    'Track 12 °C hotter than when bikes were settled: read hot pressures again.'
    """
    limits = limits or Limits()
    if reference_c is None or now_c is None or abs(now_c - reference_c) < limits.track_c:
        return ""
    return _(
        "Track {by:.0f} °C {way} than when bikes were settled: read hot pressures again.",
        by=abs(now_c - reference_c),
        way=_("hotter") if now_c > reference_c else _("colder"),
    )
