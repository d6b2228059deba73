"""The setup sheet as a PDF that is handed to the customer and kept."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.paper.documents import PaperError
from jobs.people.access import SignedIn
from jobs.setups.models import SetupSheet
from jobs.setups.services import sheet_handed_over

from .bike_header import entry_get


@require_POST
def hand_over(request: SignedIn, entry_id: int) -> HttpResponse:
    """Keep the sheet as it stands; the customer can open it from now on."""
    entry = entry_get(entry_id)
    try:
        kept = sheet_handed_over(entry)
    except PaperError as why:
        messages.error(request, str(why))
    else:
        said = _("Version %(n)s is kept, and the customer can open it.") % {"n": kept.version}
        messages.success(request, said)
    return redirect("board:sheet-print", entry_id=entry.pk)


def sheet_pdf(request: HttpRequest, entry_id: int, version: int) -> HttpResponse:
    """One version that was handed over."""
    kept = get_object_or_404(SetupSheet, entry=entry_id, version=version)
    return HttpResponse(bytes(kept.content), content_type="application/pdf")
