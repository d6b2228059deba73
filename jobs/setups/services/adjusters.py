"""What the crew learns about an adjuster itself: broken, mended, proven."""

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage.models import Adjuster

from .. import ledger
from ..origin import RowOrigin


def adjuster_break(*, origin: RowOrigin, adjuster: Adjuster, fault: str) -> Adjuster:
    """Mark an adjuster broken: a service note; nothing is suggested on it from then on."""
    if not fault.strip():
        raise ValidationError(_("Say what is wrong with it, for the service note."))
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.usable, adjuster.fault = False, fault.strip()
    adjuster.save(update_fields=["usable", "fault"])
    return adjuster


def adjuster_mend(*, origin: RowOrigin, adjuster: Adjuster) -> Adjuster:
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.usable, adjuster.fault = True, ""
    adjuster.save(update_fields=["usable", "fault"])
    return adjuster


def adjuster_prove(
    *, origin: RowOrigin, adjuster: Adjuster, proven: bool, note: str = ""
) -> Adjuster:
    """Mark that it works as it stands: nothing is suggested on it until ``proven=False``."""
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.proven_at = origin.done_at if proven else None
    adjuster.proven_note = note if proven else ""
    adjuster.save(update_fields=["proven_at", "proven_note"])
    return adjuster
