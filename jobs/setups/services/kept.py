"""Named snapshots of a bike: every adjuster, and the tyre pressures that were read."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage.models import Bike

from .. import ledger
from ..enums import SetupKind
from ..models import KeptPosition, KeptReading, KeptSetup, Reading
from ..origin import RowOrigin
from ..reading_kinds import TYRE_PRESSURE
from ..selectors import Standing, standings_of_bike


@transaction.atomic
def kept_setup_keep(
    *, origin: RowOrigin, bike: Bike, kind: str, name: str = "", note: str = ""
) -> KeptSetup:
    """Keep what every counted adjuster stands at, and that day's pressures, under a name."""
    ledger.bike_lock(bike.pk)
    if kind == SetupKind.OWN and not name.strip():
        raise ValidationError(_("Give this setup a name."))
    standings = standings_of_bike(bike)
    standing = [(s.adjuster, s.position) for s in standings if s.position is not None]
    if not standing:
        raise ValidationError(_("No adjuster has been counted yet: there is nothing to keep."))
    kept = KeptSetup.objects.create(
        **origin.fields(),
        bike=bike,
        kind=kind,
        name=name.strip() or str(SetupKind(kind).label),
        note=note.strip(),
    )
    KeptPosition.objects.bulk_create(
        KeptPosition(kept=kept, adjuster=adjuster, position=position)
        for adjuster, position in standing
    )
    KeptReading.objects.bulk_create(
        KeptReading(kept=kept, reading=reading) for reading in _pressures_read(origin, standings)
    )
    return kept


def _pressures_read(origin: RowOrigin, standings: Sequence[Standing]) -> list[Reading]:
    """The newest pressure of the day for each end and state of the tyre that is on it now."""
    if origin.entry is None:
        return []
    rows = Reading.objects.filter(
        entry=origin.entry, kind=TYRE_PRESSURE.name, withdrawn_at=None
    ).order_by("accepted_at")
    of_end = {s.adjuster.end: s for s in standings if s.is_pressure}
    newest = {
        (row.end, row.tyre_state): row
        for row in rows
        if row.end not in of_end or of_end[row.end].of_this_tyre(row)
    }
    return list(newest.values())
