"""Sag from three readings, the effect of preload on it, and what it shows of the spring.

Sources: static equilibrium of a linear spring (any text on statics). Sag is read after a push
down and after a lift, so that stiction cancels out: common practice, no source.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from .argument_checks import checked
from .linkage import Linkage
from .refusal import Refused, number, one_of, positive, within
from .terms import End
from .units import STANDARD_GRAVITY
from .words import _

READING_SLIP_MM = 1.0
ROUNDING_MM = 1e-9
STICTION_WARNING_MM = {End.FRONT: 15.0, End.REAR: 10.0}  # common practice, no source
ON_TARGET_MM = 2.0
TOPPED_OUT_MM = 1.0


@checked
@dataclass(frozen=True)
class SagResult:
    """One sag measurement; lengths in mm, ``percent`` of the travel."""

    sag_mm: float
    stiction_band_mm: float
    percent: float
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def friction_n(self, *, rate_n_per_mm: float) -> float:
        """Friction each way, about k S / 2, in N at the wheel.

        >>> measure(hanging_mm=127, after_push_mm=95, after_lift_mm=101, travel_mm=120,
        ...         end="front").friction_n(rate_n_per_mm=20)
        60.0
        """
        return positive(rate_n_per_mm, _("rate"), "N/mm") * self.stiction_band_mm / 2


@checked
def measure(
    *,
    hanging_mm: float,
    after_push_mm: float,
    after_lift_mm: float,
    travel_mm: float,
    end: str,
) -> SagResult:
    """Sag = hanging - (after push + after lift) / 2, the stiction band and the percent.

    Three lengths between the same two points, in mm: wheel hanging; settled after a push
    down; settled after a lift. They shrink as the suspension compresses. Valid where
    after_push <= after_lift + 1 <= hanging + 1 and 0 <= sag <= travel.
    Source: the three-reading way is common practice, no source.

    >>> sag = measure(hanging_mm=127, after_push_mm=95, after_lift_mm=101, travel_mm=120,
    ...               end="front")
    >>> sag.sag_mm, sag.stiction_band_mm, round(sag.percent, 3)
    (29.0, 6.0, 24.167)
    """
    hanging = positive(hanging_mm, _("hanging"), "mm")
    push = positive(after_push_mm, _("after a push"), "mm")
    lift = positive(after_lift_mm, _("after a lift"), "mm")
    travel = within(travel_mm, 40, 400, what=_("travel"), unit="mm")
    _check_lengths(hanging, push, lift)
    sag = hanging - (push + lift) / 2
    if not -ROUNDING_MM <= sag <= travel + ROUNDING_MM:
        raise Refused(
            _(
                "These readings give a sag of {sag:g} mm, outside the {travel:g} mm of travel. "
                "Measure between the same two points each time.",
                sag=sag,
                travel=travel,
            )
        )
    sag, band = max(0.0, sag), max(0.0, lift - push)
    return SagResult(
        sag_mm=sag,
        stiction_band_mm=band,
        percent=100 * sag / travel,
        assumptions=(
            _("The bike rests midway between where a push and a lift leave it."),
            _("All three lengths are between the same two points, along the suspension."),
        ),
        cautions=_stiction_caution(band, one_of(end, End, what=_("end"))),
    )


def _check_lengths(hanging: float, push: float, lift: float) -> None:
    if lift < push - READING_SLIP_MM:
        raise Refused(
            _(
                "After a lift ({lift:g} mm) the length must not be shorter than after a push "
                "({push:g} mm). Are the two readings swapped?",
                lift=lift,
                push=push,
            )
        )
    if hanging < max(push, lift) - ROUNDING_MM:
        raise Refused(
            _(
                "Hanging ({hanging:g} mm) must be the longest of the three; {longest:g} mm was "
                "read on the ground.",
                hanging=hanging,
                longest=max(push, lift),
            )
        )


def _stiction_caution(band: float, end: End) -> tuple[str, ...]:
    limit = STICTION_WARNING_MM[end]
    if band <= limit:
        return ()
    return (
        _(
            "Stiction of {band:g} mm is more than the usual {limit:g} mm at this end: look at "
            "alignment, seals and bearings before trusting the sag (common practice, no source).",
            band=band,
            limit=limit,
        ),
    )


@checked
@dataclass(frozen=True)
class PreloadEffect:
    """What a change of preload does to the sag, in mm, below zero: less sag."""

    along_mm: float
    vertical_mm: float
    assumptions: tuple[str, ...] = ()


@checked
def fork_preload_effect(
    *,
    preload_change_mm: float,
    rake_deg: float,
    share_of_rate: float = 1.0,
) -> PreloadEffect:
    """Leg sag changes by minus the preload change; vertically by that times cos(rake).

    ``share_of_rate``: the part of the pair's rate that sits in the legs being turned, 1 for
    both, k_left / (k_left + k_right) for the left one alone. Upper bound: a topped-out fork
    or an air spring moves less. Rake 15-45 deg from the vertical. Source: statics.

    >>> round(fork_preload_effect(preload_change_mm=1, rake_deg=24).vertical_mm, 3)
    -0.914
    """
    change = number(preload_change_mm, _("preload change"))
    rake = rake_radians(rake_deg)
    share = within(share_of_rate, 0, 1, what=_("share of the rate"))
    along = -change * share
    return PreloadEffect(
        along_mm=along,
        vertical_mm=along * math.cos(rake),
        assumptions=(
            _("Upper bound: air in the fork takes part of it, a topped-out fork all of it."),
        ),
    )


@checked
def rear_preload_effect(
    *,
    preload_change_mm: float,
    linkage: Linkage,
    wheel_travel_mm: float = 0.0,
    preload_mm: float = 0.0,
) -> PreloadEffect:
    """Wheel sag changes by dp times -s' / (s'^2 + (s + p) s'').

    With a constant motion ratio that is -dp / mr. ``wheel_travel_mm`` and ``preload_mm`` are
    where the bike stands; they matter on a progressive linkage only. For a small change: the
    exact new sag is the root of ``springs.rear_equilibrium``. Source: derivative of
    F = k (s + p) s' at constant wheel force.

    >>> from jobs.tuning.linkage import constant
    >>> rear_preload_effect(preload_change_mm=2, linkage=constant(motion_ratio=0.5)).vertical_mm
    -4.0
    """
    change = number(preload_change_mm, _("preload change"))
    z = linkage.known_at(wheel_travel_mm, what=_("wheel travel"))
    preload = within(preload_mm, 0, 60, what=_("preload"), unit="mm")
    ratio = linkage.ratio(z)
    bend = (linkage.stroke(z) + preload) * linkage.ratio_change(z)
    stiffness = ratio**2 + bend
    if stiffness <= 0:
        raise Refused(
            _(
                "This linkage falls away faster than the spring can carry at {z:g} mm: check the "
                "curve.",
                z=z,
            )
        )
    return PreloadEffect(
        along_mm=-change,
        vertical_mm=-change * ratio / stiffness,
        assumptions=(_("A small change about where the bike stands, without friction."),),
    )


class RateVerdict(StrEnum):
    """What free sag shows of the spring rate when rider sag is on target."""

    SET_RIDER_SAG_FIRST = "set_rider_sag_first"
    SPRING_TOO_SOFT = "spring_too_soft"
    SPRING_TOO_STIFF = "spring_too_stiff"
    NOTHING_AGAINST_IT = "nothing_against_it"


@checked
def rate_verdict(
    *,
    rider_sag_mm: float,
    rider_target_mm: float,
    free_sag_mm: float,
    free_low_mm: float,
    free_high_mm: float,
) -> RateVerdict:
    """Judge the spring by free sag; only possible with rider sag within 2 mm of its target.

    Free sag below the range, or under 1 mm (topped out): the spring is too soft, because it
    needed too much preload. Above the range: too stiff. The range is the tuner's own. Common
    practice, no source.

    >>> rate_verdict(rider_sag_mm=30, rider_target_mm=30, free_sag_mm=0, free_low_mm=5,
    ...              free_high_mm=10).value
    'spring_too_soft'
    """
    if free_high_mm < free_low_mm:
        raise Refused(_("The free sag band ends below where it begins."))
    if abs(number(rider_sag_mm, _("rider sag")) - rider_target_mm) > ON_TARGET_MM:
        return RateVerdict.SET_RIDER_SAG_FIRST
    free = number(free_sag_mm, _("free sag"))
    if free < free_low_mm or free < TOPPED_OUT_MM:
        return RateVerdict.SPRING_TOO_SOFT
    if free > free_high_mm:
        return RateVerdict.SPRING_TOO_STIFF
    return RateVerdict.NOTHING_AGAINST_IT


@checked
def rake_radians(rake_deg: float) -> float:
    """The rake in radians, 15 to 45 deg from the vertical.

    >>> round(rake_radians(24), 6)
    0.418879
    """
    given = number(rake_deg, _("rake"))
    hint = (
        _(
            "Is it measured from the horizontal? Then it is {rake:g} deg from the vertical.",
            rake=90 - given,
        )
        if 45 < given <= 75
        else ""
    )
    return math.radians(within(given, 15, 45, what=_("rake"), unit="deg", hint=hint))


@checked
def weight_n(*, mass_kg: float) -> float:
    """The weight of a mass in N, at standard gravity.

    >>> weight_n(mass_kg=100)
    980.665
    """
    return positive(mass_kg, _("mass"), "kg") * STANDARD_GRAVITY
