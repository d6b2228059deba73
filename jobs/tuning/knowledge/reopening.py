"""What makes a settled bike worth looking at again, and the two things to watch then.

Common practice, no source; the limits are the business's own.
"""

from dataclasses import dataclass
from enum import StrEnum

from ..pace import OutingPace, pace_change, reopens
from ..refusal import Refused
from ..words import _
from .limits import Limits


class Trigger(StrEnum):
    PACE = "pace"
    TYRE = "tyre"
    RAIN = "rain"
    CRASH = "crash"
    RIDER = "rider"
    PARTS = "parts"  # spring, oil, gearing, linkage
    WEIGHT = "weight"
    OTHER_HAND = "other_hand"


# The two things to watch when a bike is opened again, per trigger. The pace row is the
# trade's rule; all are common practice, no source.
WATCH: dict[Trigger, tuple[str, str]] = {
    Trigger.PACE: (_("wide on power"), _("unstable on the brakes")),
    Trigger.TYRE: (_("turn-in: another height or profile"), _("hot pressure and its rise")),
    Trigger.RAIN: (_("softer everywhere: grip is less"), _("keep the dry setup")),
    Trigger.CRASH: (_("fork twist, bars, levers, axle"), _("the organiser's inspection first")),
    Trigger.RIDER: (_("sag with this rider"), _("travel used")),
    Trigger.PARTS: (_("sag at both ends"), _("hot push test")),
    Trigger.WEIGHT: (_("sag with this weight"), _("travel used")),
    Trigger.OTHER_HAND: (_("every position, counted again"), _("hot push test")),
}


@dataclass(frozen=True)
class Reopened:
    trigger: Trigger
    words: str

    @property
    def watch(self) -> tuple[str, str]:
        return WATCH[self.trigger]


@dataclass(frozen=True)
class Reference:
    """What a settled bike was settled at."""

    pace: OutingPace | None = None
    wet: bool | None = None
    track_c: float | None = None
    rider: str = ""
    weight_kg: float | None = None
    layout: str = ""


@dataclass(frozen=True)
class Now:
    """The same, now; and what has happened since, each in words (empty: it did not).

    ``other_hand``: adjusters found elsewhere than the book had them. ``word``: the rider's
    own on his pace against the outing before, which counts only without lap times.
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


WEIGHT_KG = 5.0  # common practice, no source: less than a tank of fuel is not weight


def reopened(reference: Reference, now: Now, limits: Limits | None = None) -> tuple[Reopened, ...]:
    """Why a settled bike should be looked at again; empty: it stays as it is.

    >>> found, = reopened(Reference(wet=False), Now(wet=True))
    >>> found.trigger.value, found.watch[1]
    ('rain', 'keep the dry setup')
    """
    limits = limits or Limits()
    found = []
    faster = _faster(reference, now, limits)
    if faster:
        found.append(Reopened(Trigger.PACE, faster))
    happened = (
        (Trigger.TYRE, now.tyre),
        (Trigger.RAIN, _("it is wet") if now.wet and reference.wet is False else ""),
        (Trigger.CRASH, now.crash),
        (Trigger.RIDER, _new_rider(reference, now)),
        (Trigger.PARTS, now.parts),
        (Trigger.WEIGHT, _weight(reference, now)),
        (Trigger.OTHER_HAND, now.other_hand),
    )
    return (*found, *(Reopened(trigger, words) for trigger, words in happened if words))


def _faster(reference: Reference, now: Now, limits: Limits) -> str:
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


def _new_rider(reference: Reference, now: Now) -> str:
    if reference.rider and now.rider and reference.rider != now.rider:
        return _("another rider: {rider}", rider=now.rider)
    return ""


def _weight(reference: Reference, now: Now) -> str:
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
