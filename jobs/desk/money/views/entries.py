import uuid
from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.models import Charge, Document, PriceItem
from jobs.billing.money import exponent
from jobs.billing.selectors.days import open_sum
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.payments import with_open
from jobs.billing.selectors.prices import price_list, terms_get
from jobs.billing.services import charges as services
from jobs.billing.services.absences import entry_cancel, entry_comes_after_all
from jobs.people.access import SignedIn
from jobs.people.typed import redirect_within, whole_number
from jobs.trackday.enums import Absence
from jobs.trackday.models import Entry

from ..answers import attempt, currency, price_from


def charges(request: HttpRequest, pk: int) -> HttpResponse:
    """What one bike owes at this moment, and why."""
    entry = get_object_or_404(
        Entry.objects.select_related(
            "package", "bike", "rider", "payer", "group", "trackday__venue"
        ),
        pk=pk,
    )
    found = due_charges([entry])[entry.pk]
    documents = with_open(
        Document.objects.filter(lines__entry=entry, corrects__isnull=True).distinct()
    )
    return render(
        request,
        "money/entry.html",
        {
            "entry": entry,
            "dues": found,
            "open_minor": open_sum(found, exponent(currency())),
            "documents": documents,
            "items": price_list(active_only=True),
            "absences": Absence.choices,
            "terms": terms_get(),
            "charge_id": uuid.uuid4(),
            "currency": currency(),
        },
    )


@require_POST
def add(request: SignedIn, pk: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=pk)
    chosen = request.POST.get("item", "")
    item = PriceItem.objects.filter(pk=whole_number(chosen) or 0, active=True).first()
    try:
        values = {
            "quantity": price_from(request.POST.get("quantity", "")) or Decimal(1),
            "price": price_from(request.POST.get("price", "")),
        }
        charge_id = uuid.UUID(request.POST.get("id", ""))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("money:entry", pk)
    except ValueError:
        charge_id = uuid.uuid4()
    attempt(
        request,
        _("Charged."),
        services.charge_add,
        entry=entry,
        by=request.user,
        item=item,
        description=request.POST.get("description", ""),
        charge_id=charge_id,
        **values,
    )
    return redirect("money:entry", pk)


@require_POST
def overrule(request: SignedIn, pk: int) -> HttpResponse:
    """Another price for a charge that arose by itself, or none with a reason."""
    entry = get_object_or_404(Entry, pk=pk)
    try:
        price = price_from(request.POST.get("price", ""))
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("money:entry", pk)
    attempt(
        request,
        _("Changed."),
        services.charge_overrule,
        entry=entry,
        key=request.POST.get("key", ""),
        by=request.user,
        price=price,
        waived_why=request.POST.get("why", ""),
    )
    return redirect("money:entry", pk)


@require_POST
def absent(request: SignedIn, pk: int) -> HttpResponse:
    """The bike does not come, or comes after all; told here or on the entry's own page."""
    entry = get_object_or_404(Entry.objects.select_related("trackday"), pk=pk)
    absence = request.POST.get("absence", "")
    if absence in Absence.values:
        done = _("Off the day, and charged by the cancellation scale.")
        attempt(request, done, entry_cancel, entry=entry, absence=absence, by=request.user)
    elif entry.absence:
        done = _("Expected on the day again, and charged as booked.")
        attempt(request, done, entry_comes_after_all, entry=entry, by=request.user)
    return redirect_within(request, request.POST.get("next", ""), "money:entry", pk)


@require_POST
def withdraw(request: SignedIn, pk: uuid.UUID) -> HttpResponse:
    charge = get_object_or_404(Charge, pk=pk, withdrawn_at__isnull=True)
    attempt(request, _("Taken back."), services.charge_withdraw, charge=charge, by=request.user)
    return redirect("money:entry", charge.entry_id)
