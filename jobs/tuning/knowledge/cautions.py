"""The caution that belongs to each kind of change, shown where the change is offered.

Common practice; torque figures, spring compressors and gas charge are matters of the
maker's manual and of licensed workshops; no advice is given on them.
"""

from collections.abc import Mapping

from ..terms import AdjusterFunction as F
from ..words import _

NEVER_FORCE = _("Never force an end. Close gently first, then count out.")
HOT_PARTS = _("Exhaust, discs, tyres and warmers are hot.")
TWO_PEOPLE = _("Level ground, a second person for a front lift: a stand can let the bike fall.")
TORQUE = _("Clamp torque and order by the maker's manual.")
CLEARANCE = _("Check wheel against radiator and mudguard at full travel before it goes out.")
REBOUND_AGAIN = _("Springs and preload move rebound too: push again, hot, after the next outing.")
SPRINGS = _(
    "Springs, fork caps and compressors store energy: the maker's manual and licensed practice."
)
TYRE_MAKER = _("The tyre maker's range stands.")
BUILD_PACE = _("Build pace over the first laps.")

AS_LISTED = _(
    "Its range is as listed, not counted on this bike: it may end earlier. Never force an end."
)
CAUTIONS: Mapping[F, tuple[str, ...]] = {
    F.REBOUND: (NEVER_FORCE,),
    F.COMPRESSION: (NEVER_FORCE,),
    F.COMPRESSION_HIGH: (NEVER_FORCE,),
    F.PRELOAD: (NEVER_FORCE, REBOUND_AGAIN, HOT_PARTS),
    F.SPRING: (SPRINGS, TWO_PEOPLE, REBOUND_AGAIN),
    F.TYRE_PRESSURE: (TYRE_MAKER, HOT_PARTS),
    F.TUBE_HEIGHT: (TWO_PEOPLE, TORQUE, CLEARANCE),
    F.SHOCK_LENGTH: (TWO_PEOPLE, TORQUE, CLEARANCE),
}


def cautions_of(function: F | None, *, is_listed: bool = False) -> tuple[str, ...]:
    """The cautions for a change of one function. The last is always "build pace".

    ``is_listed``: where the adjuster ends was never counted on this bike.
    """
    listed = (AS_LISTED,) if is_listed and function != F.TYRE_PRESSURE else ()
    return (*listed, *CAUTIONS.get(function, ()), BUILD_PACE) if function else (BUILD_PACE,)
