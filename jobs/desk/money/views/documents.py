import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.enums import DocumentKind, FileKind, PaymentMethod
from jobs.billing.models import Document
from jobs.billing.selectors.document_page import document_page
from jobs.billing.selectors.ledger import free_credit, moves_of
from jobs.billing.selectors.lines_left import lines_left
from jobs.billing.selectors.payments import BALANCED, with_open
from jobs.billing.selectors.prices import terms_get
from jobs.billing.services.credits import CREDITABLE
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.document_writing import parties_renew
from jobs.billing.services.drafts import draft_discard
from jobs.billing.services.issue import document_issue
from jobs.billing.services.mail import document_letter_preview, document_mail
from jobs.billing.services.prepaid import prepaid_renew
from jobs.billing.services.reminders import reminder_send
from jobs.desk.mail_answers import letter_said
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.trail import trail_note

from ..answers import attachment, attempt

CONTENT_TYPES = {FileKind.PDF: ("application/pdf", "pdf"), FileKind.CII: ("text/xml", "xml")}


def document(request: HttpRequest, pk: int) -> HttpResponse:
    """One document as it is or will be sent, with what may be done to it."""
    rows = with_open(Document.objects.all()).select_related(
        "customer", "trackday", "corrects", "follows", "acceptance"
    )
    found = get_object_or_404(rows, pk=pk)
    deposits = []
    if found.is_draft:
        parties_renew(found)
        deposits = prepaid_renew(found)
    creditable = not found.is_draft and found.kind in CREDITABLE
    return render(
        request,
        "money/document.html",
        {
            "document": found,
            "page": document_page(found),
            "logo": reverse("money:logo") if terms_get().logo else "",
            "deposits": deposits,
            "give_back": _to_give_back(found),
            "left": [one for one in lines_left(found) if not one.line.settles_id]
            if creditable
            else [],
            "payments": found.payments.select_related("by"),
            "moves": moves_of(found),
            "corrections": found.corrections.filter(number__isnull=False),
            "followers": found.followers.filter(number__isnull=False),
            "files": found.files.defer("content"),
            "reminders": found.reminders.all(),
            "is_overdue": bool(found.due_on and found.due_on < business_today()),
            "credit": free_credit(found.customer),
            "methods": PaymentMethod.choices[:3],
            "payment_id": uuid.uuid4(),
            "letter": document_letter_preview(found),
        },
    )


def _to_give_back(document: Any) -> int:
    """Minor units that are the customer's: paid too much, or a deposit that nothing used."""
    if document.is_draft or document.kind not in BALANCED:
        return 0
    is_deposit = document.kind == DocumentKind.DEPOSIT_REQUEST
    minor: int = document.held if is_deposit else -document.open
    return max(0, minor)


def _get(pk: int) -> Document:
    return get_object_or_404(Document.objects.select_related("customer"), pk=pk)


@require_POST
def issue(request: SignedIn, pk: int) -> HttpResponse:
    made = attempt(request, "", document_issue, document=_get(pk), by=request.user)
    if made is not None:
        messages.success(request, _("%(label)s is issued.") % {"label": made.label})
    return redirect("money:document", pk)


@require_POST
def discard(request: SignedIn, pk: int) -> HttpResponse:
    found = _get(pk)
    gone = found.is_draft
    attempt(request, _("The draft is thrown away.") if gone else "", draft_discard, document=found)
    if not gone:
        return redirect("money:document", pk)
    if found.trackday_id:
        return redirect("money:day", found.trackday_id)
    return redirect("money:account", found.customer_id)


@require_POST
def deposit(request: SignedIn, pk: int) -> HttpResponse:
    made = attempt(
        request, _("The deposit is asked for."), deposit_request_issue, quote=_get(pk),
        by=request.user,
    )  # fmt: skip
    return redirect("money:document", made.pk if made else pk)


@require_POST
def accept(request: SignedIn, pk: int) -> HttpResponse:
    """A customer said yes at the van: entered with the name they gave."""
    attempt(
        request,
        _("Accepted."),
        quote_accept,
        quote=_get(pk),
        name=request.POST.get("name", ""),
        by=request.user,
    )
    return redirect("money:document", pk)


@require_POST
def mail(request: SignedIn, pk: int) -> HttpResponse:
    found = _get(pk)
    if found.is_draft:
        messages.error(request, _("Issue it first: a draft is not sent."))
    elif document_mail(document=found, again=request.POST.get("again", "")):
        to = found.buyer.get("email", "")
        letter_said(request, to=to, sent=_("The link goes to %(to)s.") % {"to": to})
    else:
        messages.error(request, _("%(name)s has no mail address.") % {"name": found.buyer["name"]})
    return redirect("money:document", pk)


@require_POST
def remind(request: SignedIn, pk: int) -> HttpResponse:
    found = _get(pk)
    if attempt(request, "", reminder_send, document=found, by=request.user) is not None:
        to = found.customer.email
        letter_said(request, to=to, sent=_("The reminder goes out."))
    return redirect("money:document", pk)


def file(request: SignedIn, pk: int, kind: str) -> HttpResponse:
    """A file of a document, opened by somebody of the business: the trail keeps it."""
    answer = document_file(_get(pk), kind)
    trail_note(TrailEvent.DOCUMENT_OPENED, by=request.user, ref=pk)
    return answer


def document_file(found: Document, kind: str) -> HttpResponse:
    """The very bytes that were kept. 404 while they are not made."""
    if kind not in FileKind.values:
        raise Http404
    kept = found.files.filter(kind=kind).first()
    if kept is None:
        raise Http404(_("The file is not made yet."))
    content_type, ending = CONTENT_TYPES[FileKind(kind)]
    return attachment(bytes(kept.content), name=f"{found.label}.{ending}", kind=content_type)
