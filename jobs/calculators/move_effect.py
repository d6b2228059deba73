"""What a move of an adjuster would do to the geometry or the sag, in a sentence."""

from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.garage.chassis import linkage_of
from jobs.garage.enums import End, Function, Unit
from jobs.garage.models import Adjuster, Bike
from jobs.tuning import Refused, geometry, sag

from .figures import chassis_of
from .inputs import signed

RIDER_SAG = 0.25  # of the travel; common practice, no source


def move_effect(adjuster: Adjuster, start: Decimal | None, end: Decimal | None) -> str:
    """The effect of moving fork tubes, shock length or preload; empty where it is not known."""
    if start is None or end is None or start == end:
        return ""
    moved = float(end - start)
    try:
        if adjuster.function == Function.PRELOAD:
            return _preload(adjuster, moved)
        if adjuster.function in (Function.TUBE_HEIGHT, Function.SHOCK_LENGTH):
            return _geometry(adjuster, moved)
    except Refused:  # a figure of the bike out of range says nothing here; the workbench says why
        return ""
    return ""


def _geometry(adjuster: Adjuster, moved: float) -> str:
    bike = adjuster.bike
    chassis = chassis_of(bike)
    if chassis is None or adjuster.unit != Unit.MM:
        return ""
    if adjuster.function == Function.TUBE_HEIGHT:
        found = geometry.change(chassis=chassis, tubes_through_mm=moved)
    elif (curve := linkage_of(bike)) is None:
        return ""
    else:
        # A longer shock lifts the rear by its length over the motion ratio where it stands.
        ratio = curve.ratio(curve.known_at(_stands(bike), what=_("wheel travel")))
        found = geometry.change(chassis=chassis, rear_vertical_mm=-moved / ratio)
    return _("Trail %(trail)s mm, rake %(rake)s°.") % {
        "trail": signed(found.trail_change_mm),
        "rake": signed(found.rake_change_deg, 2),
    }


def _preload(adjuster: Adjuster, moved: float) -> str:
    bike, end = adjuster.bike, adjuster.end
    per_turn = getattr(bike, f"{end}_preload_mm_per_turn")
    millimetres = moved if adjuster.unit == Unit.MM else None
    if adjuster.unit == Unit.TURN and per_turn is not None:
        millimetres = moved * float(per_turn)
    if millimetres is None:
        return ""
    more = millimetres if adjuster.firming == "up" else -millimetres
    if end == End.FRONT:
        effect = sag.fork_preload_effect(preload_change_mm=more, rake_deg=_rake(bike))
        moves = effect.along_mm
    elif (curve := linkage_of(bike)) is None:
        return ""
    else:
        moves = sag.rear_preload_effect(
            preload_change_mm=more, linkage=curve, wheel_travel_mm=_stands(bike)
        ).vertical_mm
    return _("About %(moves)s mm of sag; check rebound with it.") % {"moves": signed(moves)}


def _stands(bike: Bike) -> float:
    """Wheel travel with a rider on it, mm; it matters on a progressive linkage only."""
    return RIDER_SAG * float(bike.rear_usable_travel_mm or 0)


def _rake(bike: Bike) -> float:
    """The leg's change of sag does not depend on it; only the vertical one would."""
    return 24.0 if bike.rake_deg is None else float(bike.rake_deg)
