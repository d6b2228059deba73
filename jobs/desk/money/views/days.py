from collections import defaultdict

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from jobs.billing.models import Document
from jobs.billing.money import exponent
from jobs.billing.selectors.days import day_entries, day_money
from jobs.billing.selectors.prices import terms_get
from jobs.billing.services.absences import day_call_off
from jobs.billing.services.charges import day_close_for_billing
from jobs.billing.services.days import day_invoices_issue
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.people.access import SignedIn
from jobs.trackday.enums import Absence
from jobs.trackday.models import Entry, Trackday

from ..answers import attempt, currency

DAY_OFF = (Absence.WEATHER, Absence.BY_US)


def day(request: HttpRequest, pk: int) -> HttpResponse:
    """Everybody who pays for something on this day."""
    trackday = get_object_or_404(Trackday.objects.select_related("venue", "named_crew"), pk=pk)
    payers = day_money(trackday, places=exponent(currency()))
    return render(
        request,
        "money/day.html",
        {
            "day": trackday,
            "payers": payers,
            "to_invoice": sum(payer.open_minor for payer in payers),
            "ready": sum(1 for payer in payers if payer.is_ready),
            "issued": request.GET.get("issued"),
            "terms": terms_get(),
            "days_off": [(one.value, one.label) for one in DAY_OFF],
            "currency": currency(),
        },
    )


@require_POST
def issue_all(request: SignedIn, pk: int) -> HttpResponse:
    """All the day's invoices in one go; who got none is listed with the reason."""
    trackday = get_object_or_404(Trackday, pk=pk)
    result = day_invoices_issue(
        trackday=trackday, by=request.user, one_per_bike="per_bike" in request.POST
    )
    count = len(result.invoices)
    messages.success(
        request,
        ngettext("%(n)s invoice issued.", "%(n)s invoices issued.", count) % {"n": count},
    )
    for why, entries in _by_reason(result.left_out).items():
        messages.warning(request, _("No invoice for %(plates)s: %(why)s") % {
            "plates": _plates(entries), "why": why,
        })  # fmt: skip
    return redirect(f"{reverse('money:day', args=[pk])}?issued={count}")


def _by_reason(left_out: list[tuple[Entry, str]]) -> dict[str, list[Entry]]:
    found: dict[str, list[Entry]] = defaultdict(list)
    for entry, why in left_out:
        found[why].append(entry)
    return found


def _plates(entries: list[Entry]) -> str:
    return ", ".join(f"{entry.number or '–'} {entry.group.letter}" for entry in entries)


def files(request: HttpRequest, pk: int) -> HttpResponse:
    """How many of the day's documents have their PDF: fetched until all have."""
    issued = Document.objects.filter(trackday=pk, number__isnull=False)
    total = issued.count()
    made = issued.filter(files__kind="pdf").distinct().count()
    return render(request, "money/_files.html", {"pk": pk, "total": total, "made": made})


@require_POST
def close(request: SignedIn, pk: int) -> HttpResponse:
    trackday = get_object_or_404(Trackday, pk=pk)
    attempt(
        request,
        _("The day is closed for billing; the travel shares stand."),
        day_close_for_billing,
        trackday=trackday,
        by=request.user,
    )
    return redirect("money:day", pk)


@require_POST
def call_off(request: SignedIn, pk: int) -> HttpResponse:
    """A weather day, or one we cannot work: every bike off the day, charged by the terms."""
    trackday = get_object_or_404(Trackday, pk=pk)
    absence = request.POST.get("absence", "")
    if absence in DAY_OFF:
        left_in = day_call_off(trackday=trackday, absence=absence, by=request.user)
        messages.success(request, _("The day is called off."))
        for why, entries in _by_reason(left_in).items():
            messages.warning(request, _("Still on the day: %(plates)s: %(why)s") % {
                "plates": _plates(entries), "why": why,
            })  # fmt: skip
    return redirect("money:day", pk)


@require_POST
def draft(request: SignedIn, pk: int) -> HttpResponse:
    """A quote or an invoice for the ticked bikes of one payer, or an invoice for ``only`` one."""
    trackday = get_object_or_404(Trackday, pk=pk)
    ticked = set(request.POST.getlist("only") or request.POST.getlist("entry"))
    entries = [entry for entry in day_entries(trackday) if str(entry.pk) in ticked]
    make = quote_draft if request.POST.get("kind") == "quote" else invoice_draft
    try:
        if len({entry.payer_id for entry in entries}) != 1:
            raise ValidationError(_("Tick the bikes of one payer."))
        made = make(customer=entries[0].payer, entries=entries, by=request.user)
    except ValidationError as error:
        for line in error.messages:
            messages.error(request, line)
        return redirect("money:day", pk)
    return redirect("money:document", made.pk)
