from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from jobs.acts.takeaway import customer_takeaway
from jobs.billing.selectors.customers import document_for, documents_for
from jobs.billing.selectors.document_page import document_page
from jobs.billing.selectors.prices import terms_get
from jobs.files.responses import photo_response
from jobs.people.access import SignedIn
from jobs.people.models import Business, Customer
from jobs.people.open_sessions import sessions_of
from jobs.people.selectors import business_get
from jobs.setups.models import BikePhoto
from jobs.trackday.models import Entry
from jobs.trackday.ownership import Ownership, ownership_of_user

from . import history
from .bill import day_bill
from .day import bike_day
from .paper import is_offered
from .parts import tyre_costs
from .seasons import season_plots
from .sharing import shared_url
from .wear import wear_of_bike

MOST_PHOTOS = 12
DAYS_A_PAGE = 12


def home(request: SignedIn) -> HttpResponse:
    """Their bikes; who has one only is led to it."""
    bikes = history.bikes_with_last_day(request.user)
    if len(bikes) == 1:
        return redirect("portal:bike", bikes[0]["bike"].pk)
    return _everything(request, bikes)


def everything(request: SignedIn) -> HttpResponse:
    """All their bikes, documents, devices, and the way to take it all with them."""
    return _everything(request, history.bikes_with_last_day(request.user))


def _everything(request: SignedIn, bikes: list[dict[str, Any]]) -> HttpResponse:
    context = {
        "bikes": bikes,
        "documents": documents_for(user=request.user),
        "sessions": sessions_of(request.user),
        "here": request.session.session_key,
    }
    return render(request, "portal/home.html", context)


def bike(request: SignedIn, pk: int) -> HttpResponse:
    """A bike: its newest day told, where it stands, its seasons, kept setups, earlier days.

    Of a bike that was sold, the seller sees the days up to then.
    """
    ownership = ownership_of_user(request.user)
    found = get_object_or_404(ownership.bikes(), pk=pk)
    entries = list(history.own_entries(ownership).filter(bike=found))
    photos = history.photos_of_bike(found, ownership)
    business = business_get()
    page = _day_page(request, ownership, entries[0], photos, business) if entries else {}
    day = page.get("day")
    is_sold = found.owner_id not in ownership.customers
    since, until = ownership.sold_to_them(pk), ownership.sold_by_them(pk)
    costs = tyre_costs(day.fitted if day else [], since=since, until=until)
    return render(
        request,
        "portal/bike.html",
        {
            **page,
            "bike": found,
            "is_sold": is_sold,
            "ends": [] if is_sold else history.stands_now(found, day),
            "wear": [] if is_sold else wear_of_bike(found, since=since),
            "kept": history.kept_setups_in_words(found, ownership),
            "photos": photos[-MOST_PHOTOS:],
            "more_photos": len(photos) > MOST_PHOTOS,
            "seasons": season_plots(
                entries, costs, unit=business.pressure_unit, currency=business.currency
            ),
            "earlier": entries[1 : DAYS_A_PAGE + 1],
            "more_days": len(entries) > DAYS_A_PAGE + 1,
            "business": business,
            "currency": business.currency,
        },
    )


def _day_page(
    request: SignedIn,
    ownership: Ownership,
    entry: Entry,
    photos: Iterable[BikePhoto],
    business: Business,
) -> dict[str, Any]:
    """What the page of any day shows: the day, its link to share, what it cost."""
    taken = [one for one in photos if one.entry_id == entry.pk]
    day = bike_day(entry, business, taken)
    bill = None
    if day.is_whole:
        customers = ownership.customers
        bill = day_bill(entry, user=request.user, customers=customers, business=business)
    return {
        "day": day,
        "day_photos": taken,
        "bill": bill,
        "business": business,
        "has_logo": bool(terms_get().logo),
        "shared_url": shared_url(request.user, entry),
        "has_sheet": is_offered(entry),
    }


def day(request: SignedIn, pk: int) -> HttpResponse:
    """An earlier day of an own bike."""
    ownership = ownership_of_user(request.user)
    entry = get_object_or_404(history.own_entries(ownership), pk=pk)
    photos = history.photos_of_bike(entry.bike, ownership)
    context = _day_page(request, ownership, entry, photos, business_get())
    return render(request, "portal/day_page.html", context)


def days(request: SignedIn, pk: int) -> HttpResponse:
    """All days of a bike, the newest first, some at a time."""
    ownership = ownership_of_user(request.user)
    found = get_object_or_404(ownership.bikes(), pk=pk)
    pages = Paginator(history.own_entries(ownership).filter(bike=found), 2 * DAYS_A_PAGE)
    context = {"bike": found, "page": pages.get_page(request.GET.get("page"))}
    return render(request, "portal/days.html", context)


def photos(request: SignedIn, pk: int) -> HttpResponse:
    """All photos of a bike, the newest first, some at a time."""
    ownership = ownership_of_user(request.user)
    found = get_object_or_404(ownership.bikes(), pk=pk)
    taken = history.photos_of_bike(found, ownership)[::-1]
    page = Paginator(taken, 2 * MOST_PHOTOS).get_page(request.GET.get("page"))
    return render(request, "portal/photos.html", {"bike": found, "page": page, "photos": page})


def photo(request: SignedIn, pk: UUID) -> HttpResponseBase:
    """A photo of an own bike."""
    photos = history.own_photos(ownership_of_user(request.user))
    row = get_object_or_404(photos, photo=pk)
    return photo_response(row.photo, small="small" in request.GET)


def download(request: SignedIn) -> FileResponse:
    """Everything kept about this customer, in an open form."""
    customer = get_object_or_404(Customer, user=request.user)
    file = customer_takeaway(customer=customer, by=request.user)
    return FileResponse(file, as_attachment=True, filename="my-bikes.zip")


def document(request: SignedIn, pk: int) -> HttpResponse:
    """One of the customer's own documents, in the business's letterhead."""
    found = document_for(user=request.user, pk=pk)
    if found is None:
        raise Http404
    return render(
        request,
        "portal/document.html",
        {
            "document": found,
            "page": document_page(found),
            "logo": reverse("portal:logo") if terms_get().logo else "",
            "has_pdf": found.files.filter(kind="pdf").exists(),
        },
    )


def document_pdf(request: SignedIn, pk: int) -> HttpResponse:
    found = document_for(user=request.user, pk=pk)
    kept = found.files.filter(kind="pdf").first() if found else None
    if found is None or kept is None:
        raise Http404
    response = HttpResponse(bytes(kept.content), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{found.label}.pdf"'
    return response


def logo(request: HttpRequest) -> HttpResponse:
    picture = terms_get().logo
    if not picture:
        raise Http404
    return HttpResponse(bytes(picture), content_type="image/png")
