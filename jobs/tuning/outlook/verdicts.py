"""Whether a shift can be seen in the rings, and what the next ring says when it is read."""

import math
from dataclasses import dataclass
from enum import StrEnum

from ..argument_checks import checked
from ..distributions import normal_quantile, t_quantile
from ..refusal import number, positive
from ..terms import Verdict
from ..words import _
from .rings import CONFIDENCE, Band
from .shifts import Shift

POWER = 0.90
# More outings than this on each side nobody rides to settle one doubt. Common practice, no source.
MOST_OUTINGS = 6
# The ring shows the furthest of all laps: after one or two it reads 1.6 to 3 mm short (simulated).
FEWEST_LAPS = 3
# Outside this band the ring itself is doubted before the change is.
SURPRISE = 0.99


class Visible(StrEnum):
    IN_ONE = "in_one"
    IN_SEVERAL = "in_several"
    TOO_SMALL = "too_small"


@checked
@dataclass(frozen=True)
class Visibility:
    """Whether the ring can show a shift; ``outings`` on each side of the change, 0: none would."""

    visible: Visible
    outings: int


@checked
def visible(*, shift: Shift, unchanged: Band, spread_mm: float) -> Visibility:
    """Whether one outing shows the shift, several do, or it is too small for the ring.

    One: with a probability of 90 % the ring leaves ``unchanged``, the band it would have
    without the change. Several: n outings on each side, n = 2 s^2 (z95 + z90)^2 / shift^2, the
    usual count for two means that differ (any text on design of experiments), s the spread of
    the readings.

    >>> band = Band(96, 5.2, 2.8, 9)
    >>> visible(shift=Shift(-9.9, 1.0), unchanged=band, spread_mm=2.4).visible.value
    'in_one'
    >>> visible(shift=Shift(-5.0, 0.5), unchanged=band, spread_mm=2.4).outings
    4
    >>> visible(shift=Shift(-0.8, 0.1), unchanged=band, spread_mm=2.4).visible.value
    'too_small'
    """
    size, spread = abs(shift.mm), positive(spread_mm, _("spread of rings"), "mm")
    reach = math.hypot(unchanged.sd_mm, shift.sd_mm)
    margin = t_quantile(probability=POWER, degrees=unchanged.degrees) * reach
    if size >= unchanged.half_mm + margin:
        return Visibility(Visible.IN_ONE, 1)
    if size == 0:
        return Visibility(Visible.TOO_SMALL, 0)
    z = normal_quantile(probability=0.5 + CONFIDENCE / 2) + normal_quantile(probability=POWER)
    outings = max(2, math.ceil(2 * (spread * z / size) ** 2))
    if outings <= MOST_OUTINGS:
        return Visibility(Visible.IN_SEVERAL, outings)
    return Visibility(Visible.TOO_SMALL, outings)


class Landed(StrEnum):
    INSIDE = "inside"
    OUTSIDE = "outside"
    DOUBTFUL = "doubtful"


@checked
@dataclass(frozen=True)
class Landing:
    """Where a ring came in its band; ``why`` says what makes it doubtful."""

    landed: Landed
    why: str = ""


@checked
def landed(
    *,
    band: Band,
    used_mm: float,
    unchanged: Band | None = None,
    last_mm: float | None = None,
    put_back: bool | None = None,
    laps: int | None = None,
) -> Landing:
    """Where the ring landed. Doubtful: not put back, few laps, equal to the last, far outside.

    A ring that is not put back never surprises: it reads the last figure again. So one equal to
    the last is asked about, unless somebody said that it was put back. ``band`` is the 90 % band
    of before; far outside is beyond its 99 %, and not where the ring was without the change.

    >>> landed(band=Band(90, 5, 2.7, 9), used_mm=93).landed.value
    'inside'
    >>> print(landed(band=Band(90, 5, 2.7, 9), used_mm=93, last_mm=93).why)
    93 mm is the last reading again: was the ring put back?
    """
    used = number(used_mm, _("ring"))
    if put_back is False:
        return Landing(Landed.DOUBTFUL, _("The ring was not put back before this outing."))
    if laps is not None and laps < FEWEST_LAPS:
        return Landing(Landed.DOUBTFUL, too_few_laps(laps))
    if last_mm is not None and used == last_mm and put_back is None:
        return Landing(Landed.DOUBTFUL, equal_to_the_last(used))
    if band.holds(used):
        return Landing(Landed.INSIDE)
    far = t_quantile(probability=0.5 + SURPRISE / 2, degrees=band.degrees) * band.sd_mm
    as_before = unchanged is not None and unchanged.holds(used)
    if abs(used - band.middle_mm) > far and not as_before:
        return Landing(
            Landed.DOUBTFUL,
            _("{mm:g} mm is far outside what was expected: did the ring slip?", mm=used),
        )
    return Landing(Landed.OUTSIDE)


@checked
def equal_to_the_last(used_mm: float) -> str:
    """The question for a ring that reads what it read before.

    >>> print(equal_to_the_last(96))
    96 mm is the last reading again: was the ring put back?
    """
    return _("{mm:g} mm is the last reading again: was the ring put back?", mm=used_mm)


@checked
def too_few_laps(laps: int) -> str:
    """Why a ring of a short outing does not count.

    >>> print(too_few_laps(2))
    Laps ridden: 2. A ring needs at least 3.
    """
    return _("Laps ridden: {laps}. A ring needs at least {least}.", laps=laps, least=FEWEST_LAPS)


@checked
def judged_by_the_ring(
    *, visibility: Visibility, unchanged: Band, landing: Landing, used_mm: float
) -> Verdict | None:
    """What the ring says of a change; None: it cannot be told by the ring.

    Only a shift that one outing shows is judged: seen, where the ring landed in its band and
    left the band of no change; not seen, where it is the other way round.

    >>> one = Visibility(Visible.IN_ONE, 1)
    >>> inside, before = Landing(Landed.INSIDE), Band(96, 5, 2.7, 9)
    >>> judged_by_the_ring(visibility=one, unchanged=before, landing=inside, used_mm=86).value
    'seen'
    >>> small = Visibility(Visible.TOO_SMALL, 40)
    >>> judged_by_the_ring(visibility=small, unchanged=before, landing=inside, used_mm=95)
    """
    used = number(used_mm, _("ring"))
    if visibility.visible != Visible.IN_ONE or landing.landed == Landed.DOUBTFUL:
        return None
    as_before = unchanged.holds(used)
    if landing.landed == Landed.INSIDE:
        return None if as_before else Verdict.SEEN
    return Verdict.NOT_SEEN if as_before else None
