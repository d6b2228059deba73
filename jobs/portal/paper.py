"""The setup sheet of an own day as PDF."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from jobs.paper.documents import PaperError
from jobs.people.access import SignedIn
from jobs.setups.selectors import setup_sheets_of
from jobs.setups.services import sheet_handed_over
from jobs.trackday import clock
from jobs.trackday.models import Entry
from jobs.trackday.ownership import ownership_of_user

from . import history


def is_offered(entry: Entry) -> bool:
    """A day that is theirs wholly, and is over or had its sheet handed over. One query at most."""
    if not getattr(entry, "is_whole", False):
        return False
    return clock.is_over(entry.trackday) or bool(setup_sheets_of(entry))


def sheet(request: SignedIn, pk: int) -> HttpResponse:
    """The sheet as it stands in the book; opened first by the customer, it is kept from then on."""
    entry = get_object_or_404(history.own_entries(ownership_of_user(request.user)), pk=pk)
    if not is_offered(entry):
        raise Http404
    try:
        kept = sheet_handed_over(entry)
    except PaperError as why:
        messages.error(request, str(why))
        return redirect("portal:day", pk)
    response = HttpResponse(bytes(kept.content), content_type="application/pdf")
    name = f"setup-{entry.trackday.date.isoformat()}-{kept.version}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
