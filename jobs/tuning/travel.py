"""Travel used, as a share of what can be used at the place where its ring was read.

The ring of a fork sits on its leg and reads the leg's travel. The ring at the rear sits on the
shock's shaft and reads the shaft's stroke, which is about half of the wheel's travel: the two
must never be divided by one another. Lengths in mm.
"""

from dataclasses import dataclass

from .argument_checks import checked
from .linkage import Linkage
from .refusal import Refused, number, positive
from .solve import root
from .terms import End, TravelPlace
from .words import Words, _

# How far past the end mark a ring may be pushed by rubber and flex, where the mark is not known.
PAST_THE_MARK_MM = 10.0
ROUNDING_MM = 1.0
# The last point measured lies on the fitted curve within less than it can be read.
_SAME_STROKE_MM = 0.5

PLACE_WORDS: dict[TravelPlace, Words] = {
    TravelPlace.FORK_LEG: _("on the fork leg"),
    TravelPlace.SHOCK_SHAFT: _("on the shock's shaft"),
    TravelPlace.WHEEL: _("at the wheel"),
}
PLACES: dict[End, tuple[TravelPlace, ...]] = {
    End.FRONT: (TravelPlace.FORK_LEG,),
    End.REAR: (TravelPlace.SHOCK_SHAFT, TravelPlace.WHEEL),
}


@checked
@dataclass(frozen=True)
class TravelFigures:
    """What is known of the travel of one end, mm; None where it is not known.

    ``usable_mm``: of the leg of a fork, up to its end mark; at the rear, of the wheel.
    ``shaft_stroke_mm``: of the shock's shaft, up to its end mark. ``end_mark_mm``: what the leg,
    or the shaft, still shows at full travel.
    """

    usable_mm: float | None = None
    shaft_stroke_mm: float | None = None
    end_mark_mm: float | None = None
    linkage: Linkage | None = None


@checked
@dataclass(frozen=True)
class TravelUsed:
    """Travel used at ``place``, mm, of what is usable there.

    ``converted``: what is usable there was worked out with the linkage. ``wheel_mm``: what was
    used as the wheel moved; None where the linkage is not known.
    """

    place: TravelPlace
    used_mm: float
    usable_mm: float
    converted: bool = False
    wheel_mm: float | None = None

    @property
    def share(self) -> float:
        return self.used_mm / self.usable_mm

    @property
    def left_mm(self) -> float:
        return self.usable_mm - self.used_mm


@checked
def band_words(used: TravelUsed, *, low: float, high: float) -> str:
    """Where the share lies in a band given in percent.

    >>> shaft = TravelUsed(TravelPlace.SHOCK_SHAFT, 41, 60)
    >>> str(band_words(shaft, low=60, high=80))
    'within the band'
    """
    percent = 100 * used.share
    if percent < low:
        return _("less than the band")
    return _("more than the band") if percent > high else _("within the band")


@checked
def place_asked(used_mm: float) -> str:
    """The question for a reading of the rear of which nobody said where it was taken.

    >>> print(place_asked(41))
    Rear travel 41 mm: was it read on the shock's shaft or at the wheel?
    """
    return _("Rear travel {mm:g} mm: was it read on the shock's shaft or at the wheel?", mm=used_mm)


@checked
def travel_used(*, used_mm: float, place: str, figures: TravelFigures) -> TravelUsed:
    """A travel reading as a share of what is usable where it was taken.

    ``place`` is one of :class:`TravelPlace`, or empty where nobody said. What is usable is the
    figure of that place, else the other place's figure converted by the linkage: the shaft's
    stroke is s(z) of the wheel's travel z. Refused, with the question to ask: an unknown place,
    a figure that is missing, a reading that the place cannot give. Range 0 to 400 mm. The
    conversion is kinematics; the rest is common practice, no source.

    >>> shock = TravelFigures(usable_mm=120, shaft_stroke_mm=60)
    >>> round(travel_used(used_mm=41, place="shock_shaft", figures=shock).share, 3)
    0.683
    """
    used = number(used_mm, _("travel used"))
    if not place:
        raise Refused(place_asked(used))
    if place not in set(TravelPlace):
        raise Refused(_("“{place}” is no place where travel is read.", place=str(place)))
    at = TravelPlace(place)
    usable, converted = _usable_at(at, figures)
    mark = None if at == TravelPlace.WHEEL else figures.end_mark_mm
    most = usable + (PAST_THE_MARK_MM if mark is None else mark) + ROUNDING_MM
    if not 0 <= used <= most:
        raise Refused(_impossible(at, used, usable))
    return TravelUsed(at, used, usable, converted, _at_wheel(at, used, figures))


def _usable_at(place: TravelPlace, figures: TravelFigures) -> tuple[float, bool]:
    """What is usable at a place, and whether it was converted from the other place's figure."""
    curve = figures.linkage
    usable = _known(figures.usable_mm, _("usable travel"))
    stroke = _known(figures.shaft_stroke_mm, _("usable stroke of the shock's shaft"))
    if place == TravelPlace.SHOCK_SHAFT:
        if stroke:
            return stroke, False
        if usable and curve:
            at = curve.known_at(usable, what=_("usable travel"))
            return curve.stroke(at), True
        raise Refused(
            _(
                "Enter the usable stroke of the shock's shaft; or the wheel's usable travel with "
                "the motion ratio or linkage curve."
            )
        )
    if usable:
        return usable, False
    if place == TravelPlace.WHEEL and stroke and curve:
        return _wheel_of(stroke, curve), True
    if place == TravelPlace.WHEEL:
        raise Refused(
            _(
                "Enter the wheel's usable travel; or the usable stroke of the shock's shaft with "
                "the motion ratio or linkage curve."
            )
        )
    raise Refused(_("Enter the usable travel of the fork."))


def _known(figure_mm: float | None, what: str) -> float | None:
    return None if figure_mm is None else positive(figure_mm, what, "mm")


def _wheel_of(stroke_mm: float, curve: Linkage) -> float:
    """The wheel's travel at a stroke of the shock, as far as the curve was measured."""
    last = curve.known_to_mm
    most = curve.stroke(last)
    if stroke_mm > most + _SAME_STROKE_MM:
        raise Refused(
            _(
                "A stroke of {mm:g} mm was given; this linkage is known up to {last:g} mm of wheel "
                "travel, which is {most:.1f} mm of stroke. Measure the curve further, or check "
                "the number.",
                mm=stroke_mm,
                last=last,
                most=most,
            )
        )
    if stroke_mm >= most:
        return last
    return root(lambda at: curve.stroke(at) - stroke_mm, 0.0, last)


def _at_wheel(place: TravelPlace, used_mm: float, figures: TravelFigures) -> float | None:
    """What a reading on the shaft is at the wheel."""
    if place != TravelPlace.SHOCK_SHAFT or figures.linkage is None:
        return None
    try:
        return _wheel_of(used_mm, figures.linkage)
    except Refused:
        return None


def _impossible(place: TravelPlace, used_mm: float, usable_mm: float) -> str:
    if place == TravelPlace.SHOCK_SHAFT:
        return _(
            "{used:g} mm is more than the {usable:.0f} mm the shock's shaft can move: was it read "
            "at the wheel, or is the usable stroke wrong?",
            used=used_mm,
            usable=usable_mm,
        )
    return _(
        "{used:g} mm is more than the {usable:.0f} mm that can be used there: was the ring zeroed, "
        "is the usable travel right?",
        used=used_mm,
        usable=usable_mm,
    )
