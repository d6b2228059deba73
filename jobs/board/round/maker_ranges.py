"""What the maker of the tyres says of the pressures that a card asks for."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
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

# By bike, end and state of the tyre: the lowest and highest pressure in kPa.
MakerRanges = Mapping[int, Mapping[str, Mapping[str, list[float]]]]


def asks_pressure(item: ChecklistItem) -> bool:
    return any(one["kind"] == TYRE_PRESSURE.name for one in item.readings)


def maker_ranges_of(bike_ids: Iterable[int]) -> MakerRanges:
    """What the makers of the tyres that are on these bikes say: one query."""
    found: dict[int, dict[str, Mapping[str, list[float]]]] = defaultdict(dict)
    for tyre in Fitting.objects.filter(bike__in=bike_ids, kind=FittingKind.TYRE, removed_at=None):
        found[tyre.bike_id][tyre.end] = tyre.maker_range_kpa
    return found


def maker_range_words(
    item: ChecklistItem, bike_id: int, units: Mapping[str, str], known: MakerRanges | None = None
) -> str:
    """ "Maker, off the track: front 33.4 to 37 psi, rear 29 to 34.1 psi"; empty: unknown.

    In the unit of its cells. One query where a pressure is asked for and nothing is ``known``.
    """
    if not asks_pressure(item):
        return ""
    asked = [one for one in item.readings if one["kind"] == TYRE_PRESSURE.name]
    ranges = (maker_ranges_of([bike_id]) if known is None else known).get(bike_id, {})
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
