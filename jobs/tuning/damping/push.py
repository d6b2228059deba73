"""What a push test shows of the damping, and how uncertain it is.

Source: Rao, Mechanical Vibrations (logarithmic decrement, Coulomb friction). The classes and
the two rules of the trade are common practice, no source.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from ..argument_checks import checked
from ..refusal import Refused, number, positive, within
from ..solve import root
from ..words import _
from .motion import MOST_ZETA, remaining, zeta_from_decrement

LEAST_PUSH_MM = 15.0
READING_MM = 2.0
VISIBLE_SHARE = 0.05
SHORTEST_BY_STOPWATCH_S = 0.15
# Common practice, no source: "about a second"; the quick end is as far from it as the slow one.
SLOW_AFTER_S = 1.3
QUICK_BEFORE_S = 0.7
TYRE_BIAS = (0.11, 0.16)
RETURN_TIME_SPREAD = 0.20


class PushClass(StrEnum):
    """What is seen when the bike is pushed and let go."""

    NO_RETURN = "no_return"
    SLOW = "slow"
    QUICK = "quick"
    SETTLES = "settles"
    ONE_OVERSHOOT = "one_overshoot"
    KEEPS_BOUNCING = "keeps_bouncing"


@checked
@dataclass(frozen=True)
class Damping:
    """An apparent damping ratio and the interval it lies in.

    ``zeta`` is None where only an interval can be stated; ``high`` None means no upper bound.
    """

    zeta: float | None
    low: float
    high: float | None
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def without_tyre_flex(self) -> tuple[float, float | None]:
        """The interval without the effect of the tyre, which makes it 11 to 16 % too low.

        >>> low, high = Damping(zeta=0.4, low=0.36, high=0.45).without_tyre_flex()
        >>> round(low, 3), round(high, 3)
        (0.404, 0.536)
        """
        least, most = TYRE_BIAS
        return self.low / (1 - least), None if self.high is None else self.high / (1 - most)


@checked
def classify(*, returned: bool, swings: int, seconds: float | None = None) -> PushClass:
    """The class of a push test: what was seen, never a number.

    ``swings``: how often it passed beyond the rest height, up or down. ``seconds``: to come
    back to rest. The trade has two rules, "settles in about a second" and "one overshoot". They
    mean different damping (zeta about 2.5-3.5 and 0.43-0.69) and are not converted.

    >>> classify(returned=True, swings=0, seconds=1.0).value
    'settles'
    >>> classify(returned=True, swings=3).value
    'keeps_bouncing'
    """
    if not returned:
        return PushClass.NO_RETURN
    if swings < 0:
        raise Refused(_("Swings are counted from 0 up; {given} was given.", given=swings))
    if swings:
        return PushClass.ONE_OVERSHOOT if swings == 1 else PushClass.KEEPS_BOUNCING
    if seconds is not None and stopwatch(seconds) > SLOW_AFTER_S:
        return PushClass.SLOW
    if seconds is not None and seconds < QUICK_BEFORE_S:
        return PushClass.QUICK
    return PushClass.SETTLES


# What the word tapped for how it comes up says; one that hesitates sticks on its way.
COMES_UP = {
    "stays": PushClass.NO_RETURN,
    "hesitates": PushClass.SLOW,
    "slow": PushClass.SLOW,
    "right": PushClass.SETTLES,
    "quick": PushClass.QUICK,
    "kicks": PushClass.ONE_OVERSHOOT,
}


@checked
def as_seen(
    *,
    word: str | None = None,
    passes: int | None = None,
    seconds: float | None = None,
    passes_wanted: int = 0,
) -> PushClass | None:
    """The class of a push as it is entered: a word, passes over the rest height, seconds.

    One that stays down comes first, then more passes than are wanted of that end, then the
    word, then the seconds. None: nothing was said.

    >>> as_seen(word="slow", passes=0).value
    'slow'
    >>> as_seen(word="right", passes=2, passes_wanted=1).value
    'one_overshoot'
    """
    if word and word not in COMES_UP:
        raise Refused(_("How it comes up: “{word}” is not one of the words.", word=word))
    seen = COMES_UP[word] if word else None
    if seen == PushClass.NO_RETURN:
        return seen
    if passes is not None and passes > passes_wanted:
        return classify(returned=True, swings=passes - passes_wanted)
    if seen is not None or (passes is None and seconds is None):
        return seen
    return classify(returned=True, swings=0, seconds=seconds)


@checked
def stopwatch(seconds: float) -> float:
    """A time by stopwatch. Refused below 0.15 s, which is too short to measure by hand.

    >>> stopwatch(1.0)
    1.0
    """
    given = positive(seconds, _("time to return"), "s")
    if given < SHORTEST_BY_STOPWATCH_S:
        raise Refused(
            _(
                "{given:g} s is too short for a stopwatch (at least {least:g} s). Film it and "
                "read the heights.",
                given=given,
                least=SHORTEST_BY_STOPWATCH_S,
            )
        )
    return given


@checked
@dataclass(frozen=True)
class Peaks:
    """First drop and first overshoot of a push, both from the settled height, mm."""

    drop_mm: float
    overshoot_mm: float


@checked
def from_heights(*, settled_mm: float, bottom_mm: float, top_mm: float) -> Peaks:
    """Peaks from three heights of one mark in a video: settled, lowest, highest after it.

    Both are measured from the settled height; from the height before the push, or from full
    extension, every ratio comes out wrong.

    >>> from_heights(settled_mm=700, bottom_mm=660, top_mm=708)
    Peaks(drop_mm=40.0, overshoot_mm=8.0)
    """
    settled = number(settled_mm, _("settled height"))
    bottom, top = number(bottom_mm, _("lowest height")), number(top_mm, _("highest height"))
    if not bottom < settled <= top:
        raise Refused(
            _(
                "The settled height ({settled:g} mm) must lie between the lowest ({bottom:g}) "
                "and the highest ({top:g}). Read it after the bike has come to rest.",
                settled=settled,
                bottom=bottom,
                top=top,
            )
        )
    return Peaks(drop_mm=settled - bottom, overshoot_mm=top - settled)


@checked
def from_overshoot(
    *,
    drop_mm: float,
    overshoot_mm: float,
    stiction_band_mm: float = 0.0,
    reading_mm: float = READING_MM,
) -> Damping:
    """zeta = -ln r / sqrt(pi^2 + ln^2 r), r = (x1 + f) / (x0 - f), f = S / 2.

    ``drop_mm`` x0 (15 mm or more) and ``overshoot_mm`` x1, both from the settled height;
    ``stiction_band_mm`` S from the sag readings at that place. The interval is that of
    reading x1 to +-``reading_mm``. The first half cycle is rebound only.

    >>> seen = from_overshoot(drop_mm=40, overshoot_mm=8)
    >>> round(seen.zeta, 3), round(seen.low, 3), round(seen.high, 3)
    (0.456, 0.404, 0.517)
    """
    drop, over = _checked_peaks(drop_mm, overshoot_mm)
    friction = number(stiction_band_mm, _("stiction band")) / 2
    if friction < 0 or friction >= drop / 4:
        raise Refused(
            _(
                "Half the stiction band ({friction:g} mm) must be less than a quarter of the "
                "push ({drop:g} mm): this end sticks too much for a push test.",
                friction=friction,
                drop=drop,
            )
        )

    def ratio_to_zeta(peak: float) -> float:
        ratio = (max(peak, drop * 1e-3) + friction) / (drop - friction)
        return zeta_from_decrement(decrement=-2 * math.log(min(ratio, 1 - 1e-9)))

    return Damping(
        zeta=ratio_to_zeta(over) if over > 0 else None,
        low=ratio_to_zeta(over + reading_mm),
        high=ratio_to_zeta(over - reading_mm) if over > reading_mm else None,
        assumptions=(
            _("Apparent: the tyre flexes too, which makes it read 11 to 16 % low."),
            _("The first half swing is rebound alone."),
            _("Heights read to within {reading:g} mm.", reading=reading_mm),
        ),
        cautions=()
        if friction
        else (_("Stiction was taken as none: with it the true ratio is lower."),),
    )


def _checked_peaks(drop_mm: float, overshoot_mm: float) -> tuple[float, float]:
    drop, over = number(drop_mm, _("push")), number(overshoot_mm, _("overshoot"))
    if drop < LEAST_PUSH_MM:
        raise Refused(
            _(
                "A push of {drop:g} mm is too small to read; at least {least:g} mm.",
                drop=drop,
                least=LEAST_PUSH_MM,
            )
        )
    if over < 0:
        raise Refused(_("An overshoot is measured upwards from rest and cannot be below zero."))
    if over >= drop:
        raise Refused(
            _(
                "The overshoot ({over:g} mm) cannot reach the push itself ({drop:g} mm): are "
                "both measured from the settled height?",
                over=over,
                drop=drop,
            )
        )
    return drop, over


@checked
def from_swings(*, swings: int, visible_share: float = VISIBLE_SHARE) -> Damping:
    """The interval of zeta for a number of visible swings. A count never gives one value.

    The n-th pass beyond rest has exp(-n pi zeta / sqrt(1 - zeta^2)) of the push and is taken
    as visible above ``visible_share``. Boundaries at 5 %: 0.690, 0.430, 0.303, 0.232.

    >>> once = from_swings(swings=1)
    >>> round(once.low, 3), round(once.high, 3)
    (0.43, 0.69)
    """
    if swings < 0 or swings != int(swings):
        raise Refused(_("Swings are counted from 0 up; {given} was given.", given=swings))
    share = within(visible_share, 0.005, 0.3, what=_("smallest visible share of the push"))
    return Damping(
        zeta=None,
        low=swing_boundary(swings=swings + 1, visible_share=share),
        high=swing_boundary(swings=swings, visible_share=share) if swings else None,
        assumptions=(
            _("Apparent: the tyre flexes too, which makes it read 11 to 16 % low."),
            _("A swing under {share:.0f} % of the push is not seen.", share=share * 100),
        ),
        cautions=(_("A count gives an interval, never a point."),),
    )


@checked
def swing_boundary(*, swings: int, visible_share: float = VISIBLE_SHARE) -> float:
    """The largest zeta at which the n-th swing is still visible.

    >>> [round(swing_boundary(swings=n), 3) for n in (1, 2, 3, 4)]
    [0.69, 0.43, 0.303, 0.232]
    """
    share = within(visible_share, 0.005, 0.3, what=_("smallest visible share of the push"))
    count = within(swings, 1, 100, what=_("number of the swing"))
    return zeta_from_decrement(decrement=-2 * math.log(share) / count)


@checked
def from_return_time(*, seconds: float, natural_hz: float = 2.0, left: float = 0.1) -> Damping:
    """zeta of a slow return without overshoot, +-20 %.

    ``seconds`` until ``left`` of the push remains (a tenth looks like fully returned);
    ``natural_hz`` of the bike on its spring, 0.5-6 Hz. Refused when it came back faster than
    any slow return can.

    >>> round(from_return_time(seconds=1.0, natural_hz=2.0).zeta, 3)
    2.781
    """
    time = stopwatch(seconds)
    frequency = within(natural_hz, 0.5, 6, what=_("natural frequency"), unit="Hz")
    share = within(left, 0.01, 0.5, what=_("share left"))
    if remaining(seconds=time, zeta=1.0, natural_hz=frequency) > share:
        raise Refused(
            _(
                "{time:g} s is faster than a return without overshoot can be at {frequency:g} "
                "Hz: count the swings or film it.",
                time=time,
                frequency=frequency,
            )
        )
    if remaining(seconds=time, zeta=MOST_ZETA, natural_hz=frequency) < share:
        raise Refused(_("{time:g} s is a stuck end, not damping.", time=time))
    zeta = root(
        lambda z: remaining(seconds=time, zeta=z, natural_hz=frequency) - share, 1.0, MOST_ZETA
    )
    return Damping(
        zeta=zeta,
        low=zeta * (1 - RETURN_TIME_SPREAD),
        high=zeta * (1 + RETURN_TIME_SPREAD),
        assumptions=(
            _("Apparent: the tyre flexes too, which makes it read 11 to 16 % low."),
            _("Natural frequency taken as {frequency:g} Hz.", frequency=frequency),
        ),
        cautions=(_("By stopwatch, good to about 20 %."),),
    )
