"""One document, opened by its signed link; no account, nothing else to be found from it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import override
from django.views.decorators.http import require_POST

from jobs.billing.enums import DocumentKind
from jobs.billing.links import document_from
from jobs.billing.selectors.document_page import document_page
from jobs.billing.selectors.prices import terms_get
from jobs.billing.services.deposits import quote_accept
from jobs.people.dates import business_today

from ..answers import attempt
from . import prices
from .documents import document_file


def document(request: HttpRequest, token: str) -> HttpResponse:
    found = document_from(token)
    if found is None:
        return render(request, "money/closed.html", status=410)
    accepted = getattr(found, "acceptance", None)
    is_quote = found.kind == DocumentKind.QUOTE
    with override(found.language):
        return render(
            request,
            "money/shown.html",
            {
                "document": found,
                "page": document_page(found),
                "token": token,
                "logo": reverse("document-logo") if terms_get().logo else "",
                "accepted": accepted,
                "may_accept": is_quote
                and accepted is None
                and not (found.due_on and found.due_on < business_today()),
                "has_pdf": found.files.filter(kind="pdf").exists(),
            },
        )


@require_POST
def accept(request: HttpRequest, token: str) -> HttpResponse:
    found = document_from(token)
    if found is None:
        return render(request, "money/closed.html", status=410)
    name = request.POST.get("name", "")
    attempt(request, _("Thank you. We look forward to it."), quote_accept, quote=found, name=name)
    return redirect("document", token)


def file(request: HttpRequest, token: str, kind: str) -> HttpResponse:
    found = document_from(token)
    if found is None:
        return render(request, "money/closed.html", status=410)
    return document_file(found, kind)


def logo(request: HttpRequest) -> HttpResponse:
    return prices.logo(request)
