from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.acts.takeaway import customer_takeaway
from jobs.billing.selectors.customers import document_for, documents_for
from jobs.billing.selectors.document_page import document_page
from jobs.billing.selectors.prices import terms_get
from jobs.files.responses import photo_response
from jobs.people.access import SignedIn
from jobs.people.models import Customer
from jobs.people.open_sessions import sessions_of
from jobs.people.selectors import business_get
from jobs.trackday.ownership import ownership_of_user

from . import history
from .sharing import shared_url
from .wear import wear_of_bike


def home(request: SignedIn) -> HttpResponse:
    bikes = history.bikes_with_last_day(request.user)
    documents = documents_for(user=request.user)
    sessions = sessions_of(request.user)
    context = {
        "bikes": bikes,
        "documents": documents,
        "sessions": sessions,
        "here": request.session.session_key,
    }
    return render(request, "portal/home.html", context)


def bike(request: SignedIn, pk: int) -> HttpResponse:
    """A bike: its newest day told, where it stands, tyres, kept setups, earlier days.

    Of a bike that was sold, the seller sees the days up to then.
    """
    ownership = ownership_of_user(request.user)
    found = get_object_or_404(ownership.bikes(), pk=pk)
    entries = list(history.own_entries(ownership).filter(bike=found))
    day = history.bike_day(entries[0]) if entries else None
    is_sold = found.owner_id not in ownership.customers
    return render(
        request,
        "portal/bike.html",
        {
            "bike": found,
            "is_sold": is_sold,
            "day": day,
            "ends": [] if is_sold else history.stands_now(found, day),
            "wear": [] if is_sold else wear_of_bike(found, since=ownership.sold_to_them(pk)),
            "kept": history.kept_setups_in_words(found, ownership),
            "photos": history.photos_of_bike(found, ownership),
            "earlier": entries[1:],
            "shared_url": shared_url(request.user, entries[0]) if entries else "",
            "currency": business_get().currency,
        },
    )


def day(request: SignedIn, pk: int) -> HttpResponse:
    """An earlier day of an own bike."""
    entries = history.own_entries(ownership_of_user(request.user))
    entry = get_object_or_404(entries, pk=pk)
    context = {"day": history.bike_day(entry), "shared_url": shared_url(request.user, entry)}
    return render(request, "portal/day_page.html", context)


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
