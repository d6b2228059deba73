"""The outlook of one change: band, whether it can be seen, and the sentence that says so.

What is known decides what is said: two rings of this rider here give a shift and a band, one
ring a wide band, none only sag and geometry. Figures that are not known are taken as usual ones
and named; a ring is never worked out from figures, and weights are not asked for.
"""

from dataclasses import dataclass

from ..argument_checks import checked
from ..refusal import Refused, number
from ..terms import Verdict
from ..words import _
from .end_spring import EndChange, EndSpring
from .rings import Band, rings_next
from .rings_in_the_book import RingsThatCount
from .shifts import Shift, ring_shift
from .verdicts import Landed, Landing, Visibility, Visible, visible

BANDS_ARE_EXPERIENCE = _(
    "A band is experience of nine outings in ten, not a promise; the maker's limits stand before "
    "it."
)


@checked
@dataclass(frozen=True)
class Outlook:
    """What the next ring should show: with the change (``band``) and without (``unchanged``)."""

    level_mm: float
    unchanged: Band
    band: Band
    shift: Shift
    visibility: Visibility
    spread_mm: float
    cautions: tuple[str, ...] = ()


@checked
def outlook_of(
    *,
    counted: RingsThatCount,
    spring: EndSpring,
    change: EndChange,
    usable_mm: float,
    name: str = "",
    sure: bool = False,
) -> Outlook:
    """The outlook of a change at one end, from the rings that count.

    Refused by name: no ring yet, a change whose shift is in the level already (it was ordered,
    then done), the end of the travel (:class:`AskAgain`, then ``sure``).

    >>> from jobs.tuning.outlook import PRIORS, fork_spring, rings_begin, rings_seen
    >>> state = rings_begin(prior=PRIORS["fork_leg"])
    >>> for used in (96, 98, 95):
    ...     state = rings_seen(state=state, used_mm=used)
    >>> found = outlook_of(counted=RingsThatCount(state, ()), usable_mm=120,
    ...                    spring=fork_spring(pair_n_per_mm=19, preload_mm=15),
    ...                    change=EndChange(rate_n_per_mm=2))
    >>> print(expected_words(outlook=found))
    Ring about 9 mm further from the end of its travel (between 4 and 14): 87 mm.
    """
    state = counted.state
    unchanged = rings_next(state=state)
    if name and name in state.counted:
        raise Refused(_("This change is in the level of the rings already: it counts once."))
    level = max(0.0, unchanged.middle_mm)
    shift = ring_shift(
        spring=spring, change=change, ring_mm=level, usable_mm=usable_mm, name=name, sure=sure
    )
    cautions = (*shift.cautions, BANDS_ARE_EXPERIENCE)
    if state.rings == 1:
        words = _("Only one ring of this rider here: the band is wide.")
        cautions = (words, *cautions)
    return Outlook(
        level_mm=level,
        unchanged=unchanged,
        band=rings_next(state=state, shift=shift),
        shift=shift,
        visibility=visible(shift=shift, unchanged=unchanged, spread_mm=state.spread_mm),
        spread_mm=state.spread_mm,
        cautions=cautions,
    )


@checked
def expected_words(*, outlook: Outlook, sag_moves_mm: float | None = None) -> str:
    """What should be seen after the change, as one sentence.

    >>> from jobs.tuning.outlook import Visible
    >>> found = Outlook(96, Band(96, 5.2, 2.8, 9), Band(95.2, 5.2, 2.8, 9), Shift(-0.8, 0.1),
    ...                 Visibility(Visible.TOO_SMALL, 130), 2.4)
    >>> print(expected_words(outlook=found, sag_moves_mm=-0.9))
    Too small for the ring (0.8 mm in a band of ±5.2): look at sag, it should be 0.9 mm less.
    """
    size, half = abs(outlook.shift.mm), outlook.band.half_mm
    sag = _sag_words(sag_moves_mm)
    if outlook.visibility.visible == Visible.TOO_SMALL:
        return _(
            "Too small for the ring ({size:.1f} mm in a band of ±{half:.1f}): {sag}.",
            size=size,
            half=half,
            sag=sag,
        )
    way = (
        _("further from the end of its travel")
        if outlook.shift.mm < 0
        else _("nearer to the end of its travel")
    )
    if outlook.visibility.visible == Visible.IN_ONE:
        return _(
            "Ring about {size:.0f} mm {way} (between {low:.0f} and {high:.0f}): {middle:.0f} mm.",
            size=size,
            way=way,
            low=size - half,
            high=size + half,
            middle=outlook.band.middle_mm,
        )
    return _(
        "Ring about {size:.0f} mm {way}; one outing does not show it, about {outings} before and "
        "{outings} after would: {sag}.",
        size=size,
        way=way,
        outings=outlook.visibility.outings,
        sag=sag,
    )


@checked
def landed_words(
    *, outlook: Outlook, landing: Landing, used_mm: float, verdict: Verdict | None
) -> str:
    """What the ring that was read says of the change, as one sentence.

    >>> from jobs.tuning.outlook import Landed
    >>> found = Outlook(96, Band(96, 5, 2.7, 9), Band(86, 6, 3, 9), Shift(-10, 1),
    ...                 Visibility(Visible.IN_ONE, 1), 2.4)
    >>> print(landed_words(outlook=found, landing=Landing(Landed.INSIDE), used_mm=85,
    ...                    verdict=Verdict.SEEN))
    85 mm: within 80 to 92 as expected, and outside the 91 to 101 of before. Seen by the ring.
    """
    used = number(used_mm, _("ring"))
    if landing.landed == Landed.DOUBTFUL:
        return landing.why
    words = {
        "used": used,
        "low": outlook.band.low_mm,
        "high": outlook.band.high_mm,
        "was_low": outlook.unchanged.low_mm,
        "was_high": outlook.unchanged.high_mm,
    }
    if verdict == Verdict.SEEN:
        return _(
            "{used:g} mm: within {low:.0f} to {high:.0f} as expected, and outside the "
            "{was_low:.0f} to {was_high:.0f} of before. Seen by the ring.",
            **words,
        )
    if verdict == Verdict.NOT_SEEN:
        return _(
            "{used:g} mm: where it was without the change ({was_low:.0f} to {was_high:.0f}), not "
            "within the {low:.0f} to {high:.0f} expected. Not seen by the ring.",
            **words,
        )
    if landing.landed == Landed.INSIDE:
        return _(
            "{used:g} mm: within {low:.0f} to {high:.0f} as expected, but so would it be without "
            "the change ({was_low:.0f} to {was_high:.0f}): it cannot be told by the ring.",
            **words,
        )
    return _(
        "{used:g} mm: outside the {low:.0f} to {high:.0f} expected; it cannot be told by the ring "
        "why.",
        **words,
    )


def _sag_words(moves_mm: float | None) -> str:
    if moves_mm is None:
        return _("read the sag before and after")
    if moves_mm < 0:
        return _("look at sag, it should be {mm:.1f} mm less", mm=-moves_mm)
    return _("look at sag, it should be {mm:.1f} mm more", mm=moves_mm)
