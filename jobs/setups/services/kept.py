"""Named snapshots of every adjuster of a bike."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.garage.models import Bike

from .. import ledger
from ..enums import SetupKind
from ..made import Made
from ..models import KeptPosition, KeptSetup
from ..selectors import standings_of_bike


@transaction.atomic
def kept_setup_keep(
    *, made: Made, bike: Bike, kind: str, name: str = "", note: str = ""
) -> KeptSetup:
    """Keep what every counted adjuster stands at, under a name."""
    ledger.bike_lock(bike.pk)
    if kind == SetupKind.OWN and not name.strip():
        raise ValidationError(_("Give this setup a name."))
    standing = [(s.adjuster, s.position) for s in standings_of_bike(bike) if s.position is not None]
    if not standing:
        raise ValidationError(_("No adjuster has been counted yet: there is nothing to keep."))
    kept = KeptSetup.objects.create(
        **made.fields(),
        bike=bike,
        kind=kind,
        name=name.strip() or str(SetupKind(kind).label),
        note=note.strip(),
    )
    KeptPosition.objects.bulk_create(
        KeptPosition(kept=kept, adjuster=adjuster, position=position)
        for adjuster, position in standing
    )
    return kept
