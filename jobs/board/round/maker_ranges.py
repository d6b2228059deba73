"""What the maker of the tyres says of the pressures that a card asks for."""

from collections.abc import Mapping
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import End, FittingKind, TyreState
from jobs.garage.models import Fitting
from jobs.setups.measures import PRESSURE, shown_in
from jobs.setups.reading_kinds import TYRE_PRESSURE
from jobs.tuning.units import symbol_of
from jobs.worklist.models import ChecklistItem

from ..cells import PLACES


def maker_range_words(item: ChecklistItem, bike_id: int, units: Mapping[str, str]) -> str:
    """ "Maker, off the track: front 33.4 to 37 psi, rear 29 to 34.1 psi"; empty: unknown.

    One query where a pressure is asked for, in the unit of its cells.
    """
    asked = [one for one in item.readings if one["kind"] == TYRE_PRESSURE.name]
    if not asked:
        return ""
    tyres = Fitting.objects.filter(bike=bike_id, kind=FittingKind.TYRE, removed_at=None)
    ranges = {tyre.end: tyre.maker_range_kpa for tyre in tyres}
    by_state: dict[str, list[str]] = {}
    for one in asked:
        state, end = one.get("tyre_state", ""), one.get("end", "")
        if ends := ranges.get(end, {}).get(state):
            said = f"{End(end).label} {_range(ends, units[PRESSURE])}"
            by_state.setdefault(state, []).append(said)
    return " ".join(
        _("Maker, %(state)s: %(ranges)s.")
        % {"state": TyreState(state).label, "ranges": ", ".join(said)}
        for state, said in by_state.items()
    )


def _range(ends: list[float], unit: str) -> str:
    low, high = (
        words.plain(shown_in(Decimal(str(end)), unit, PRESSURE, places=PLACES.get(unit, "0.1")))
        for end in ends
    )
    return _("%(low)s to %(high)s %(unit)s") % {"low": low, "high": high, "unit": symbol_of(unit)}
