"""Responses of the sheet: a panel is swapped into the sheet by htmx, else it is a page."""

from typing import Any
from urllib.parse import urlsplit

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from jobs.people.access import SignedIn
from jobs.trackday.models import Entry

from .views import sheet_answer


def shown(request: SignedIn, panel: str, context: dict[str, Any]) -> HttpResponse:
    """A panel: swapped into the sheet where a script asked, else as a page."""
    context = {**context, "panel": f"board/sheet/{panel}.html"}
    if request.htmx:  # type: ignore[attr-defined]
        response = render(request, "board/sheet/panel.html", context)
        response["HX-Retarget"] = "#panel"
        response["HX-Reswap"] = "innerHTML show:#panel:top"
        return response
    return render(request, "board/sheet/panel_page.html", context)


def done(request: SignedIn, entry: Entry) -> HttpResponse:
    """The response after an act: the sheet, swapped in where the page already shows it."""
    address = reverse("board:sheet", args=[entry.pk])
    htmx = request.htmx  # type: ignore[attr-defined]
    if htmx and urlsplit(htmx.current_url or "").path not in ("", address):
        return HttpResponseClientRedirect(address)
    if htmx:
        response = sheet_answer(request, entry)
        response["HX-Retarget"] = "#sheet"
        response["HX-Reswap"] = "outerHTML show:window:top"
        return response
    return redirect("board:sheet", entry_id=entry.pk)
