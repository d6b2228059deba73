import uuid
from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.desk import lists
from jobs.desk.forms import CustomerForm, RiderForm
from jobs.desk.link_mail import link_code, link_preview, link_send, link_url
from jobs.desk.mail_answers import letter_said, link_opens_where
from jobs.desk.records import record_create, record_update
from jobs.garage.models import Bike
from jobs.people.access import SignedIn
from jobs.people.countries import country_name
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.languages import language_choose
from jobs.people.links import AT_THE_VAN
from jobs.people.models import Customer, Rider
from jobs.people.selectors import perhaps_same, same_person
from jobs.people.services import customer_unlink, customers_link, edit_note, links_withdraw
from jobs.people.trail import trail_note
from jobs.trackday.models import Entry

MOST_ALIKE = 8
CUSTOMERS_ON_A_PAGE = 60


def customers(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("words", "").strip()
    pages = Paginator(lists.customers(words=words), CUSTOMERS_ON_A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    return render(request, "desk/customers.html", {"customers": page, "words": words})


def customer(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Customer.objects.select_related("user"), pk=pk)
    people = same_person(found)
    entries = Entry.objects.filter(bike__owner__in=people) | Entry.objects.filter(payer__in=people)
    words = request.GET.get("same", "").strip()
    return render(
        request,
        "desk/customer.html",
        {
            "customer": found,
            "country": country_name(found.country, get_language() or "en"),
            "others": people.exclude(pk=pk),
            "alike": perhaps_same(found, words=words)[:MOST_ALIKE],
            "words": words,
            "riders": Rider.objects.filter(customer__in=people),
            "bikes": Bike.objects.filter(owner__in=people),
            "entries": entries.select_related("trackday", "group", "bike", "rider").distinct(),
            "send_id": uuid.uuid4(),
            "letter": link_preview(found) if found.email else None,
        },
    )


def customer_new(request: SignedIn) -> HttpResponse:
    form = CustomerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return redirect("desk:customer", record_create(form=form, by=request.user).pk)
    return render(request, "desk/form.html", {"form": form, "title": _("New customer")})


def customer_edit(request: SignedIn, pk: int) -> HttpResponse:
    found = get_object_or_404(Customer, pk=pk)
    form = CustomerForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        record_update(form=form, by=request.user)
        if found.user is not None and "language" in form.changed_data:
            language_choose(user=found.user, language=found.language)
        return redirect("desk:customer", pk)
    return render(request, "desk/form.html", {"form": form, "title": found.name})


def rider_edit(request: SignedIn, pk: int) -> HttpResponse:
    rider = get_object_or_404(Rider, pk=pk)
    form = RiderForm(request.POST or None, instance=rider)
    if request.method == "POST" and form.is_valid():
        record_update(form=form, by=request.user)
        return redirect("desk:customer", rider.customer_id)
    return render(request, "desk/form.html", {"form": form, "title": rider.name})


@require_POST
def customer_link(request: SignedIn, pk: int) -> HttpResponse:
    """Send the link by mail; to somebody without an address, show it to be handed over."""
    found = get_object_or_404(Customer, pk=pk)
    if found.email:
        link_send(customer=found, by=request.user, request_id=_send_id(request))
        sent = _("The link is on its way to %(to)s.") % {"to": found.email}
        letter_said(request, to=found.email, sent=sent)
    else:
        url = link_url(found)
        trail_note(TrailEvent.LINK_SENT, by=request.user, ref=found.pk)
        messages.warning(
            request, _("There is no e-mail. Hand this link over yourself: %(url)s") % {"url": url}
        )
        if limit := link_opens_where():
            messages.warning(request, limit)
    return redirect("desk:customer", pk)


@require_POST
@never_cache
def customer_code(request: SignedIn, pk: int) -> HttpResponse:
    """A code on the screen: scanned at the van, it signs the customer in on their own phone."""
    found = get_object_or_404(Customer, pk=pk)
    with transaction.atomic():
        code = link_code(found)
        trail_note(TrailEvent.LINK_SENT, by=request.user, ref=found.pk)
    context = {
        "customer": found,
        "code": code,
        "minutes": AT_THE_VAN // timedelta(minutes=1),
        "limit": link_opens_where(),
    }
    return render(request, "desk/customer_code.html", context)


def _send_id(request: SignedIn) -> uuid.UUID:
    try:
        return uuid.UUID(request.POST.get("send_id", ""))
    except ValueError:
        return uuid.uuid4()


@require_POST
def customer_links_withdraw(request: SignedIn, pk: int) -> HttpResponse:
    found = get_object_or_404(Customer.objects.select_related("user"), pk=pk)
    with transaction.atomic():
        links_withdraw(customer=found)
        trail_note(TrailEvent.LINKS_WITHDRAWN, by=request.user, ref=found.pk)
        edit_note(
            by=request.user, verb=EditVerb.REMOVED, what="links", title=found.name, ref=found.pk
        )
    messages.success(request, _("Every link sent to this customer now opens nothing."))
    return redirect("desk:customer", pk)


@require_POST
def customer_same(request: SignedIn, pk: int, other: int) -> HttpResponse:
    """Two customers are one person."""
    found = get_object_or_404(Customer, pk=pk)
    try:
        customers_link(customer=get_object_or_404(Customer, pk=other), other=found, by=request.user)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    else:
        messages.success(request, _("Linked. Everything of both is shown together from now on."))
    return redirect("desk:customer", pk)


@require_POST
def customer_not_same(request: SignedIn, pk: int, other: int) -> HttpResponse:
    """Two customers are not one person after all: each has again what was written for them."""
    customer_unlink(customer=get_object_or_404(Customer, pk=other), by=request.user)
    messages.success(request, _("Taken apart. Each has again what was written for them."))
    return redirect("desk:customer", pk)
