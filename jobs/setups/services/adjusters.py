"""What the crew learns about an adjuster itself: broken, mended, proven."""

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.garage.models import Adjuster

from .. import ledger
from ..made import Made


def adjuster_break(*, made: Made, adjuster: Adjuster, fault: str) -> Adjuster:
    """No click felt, or broken: a service note, and nothing is suggested on it any more."""
    if not fault.strip():
        raise ValidationError(_("Say what is wrong with it, for the service note."))
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.usable, adjuster.fault = False, fault.strip()
    adjuster.save(update_fields=["usable", "fault"])
    return adjuster


def adjuster_mend(*, made: Made, adjuster: Adjuster) -> Adjuster:
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.usable, adjuster.fault = True, ""
    adjuster.save(update_fields=["usable", "fault"])
    return adjuster


def adjuster_prove(*, made: Made, adjuster: Adjuster, proven: bool, note: str = "") -> Adjuster:
    """What already works is left alone; ``proven=False`` opens it again."""
    adjuster = ledger.adjuster_lock(adjuster)
    adjuster.proven_at = made.done_at if proven else None
    adjuster.proven_note = note if proven else ""
    adjuster.save(update_fields=["proven_at", "proven_note"])
    return adjuster
