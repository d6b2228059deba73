"""Photos of a bike: taken, shown side by side, and served to the crew."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy

from jobs.acts.web import act_from_form
from jobs.files.responses import photo_response
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.setups.enums import Subject
from jobs.setups.models import BikePhoto

from .bike_header import bike_header_of, entry_get
from .drawn_choices import tread, wheels

SIDES = {
    "left": gettext_lazy("left"),
    "centre": gettext_lazy("centre"),
    "right": gettext_lazy("right"),
}


def photos(request: SignedIn, entry_id: int) -> HttpResponse:
    """The day's photos of a bike; posting takes another."""
    entry = entry_get(entry_id)
    if request.method == "POST":
        try:
            about = {"entry": entry.pk}
            act_from_form(request, kind="photo", about=about, trackday=entry.trackday)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return redirect("board:sheet-photos", entry_id=entry.pk)
    pairs = selectors.photos_of_entry(entry)
    shown = {"entry": entry, "pairs": pairs, "waits": sum(pair.waiting for pair in pairs)}
    if request.headers.get("HX-Request"):
        shown["face"] = selectors.identity_photo_of_bike(entry.bike)
        with timezone.override(entry.trackday.venue.timezone):
            return render(request, "board/sheet/photo_pairs.html", shown)
    context = {
        **shown,
        "head": bike_header_of(entry),
        "subjects": Subject.choices,
        "wheels": wheels(),
        "tread": tread(SIDES),
    }
    return render(request, "board/sheet/photos.html", context)


def picture(request: SignedIn, row_id: uuid.UUID, size: str) -> HttpResponseBase:
    """One photo of the book, small or whole."""
    row = get_object_or_404(BikePhoto.objects.select_related("photo"), pk=row_id)
    return photo_response(row.photo, small=size == "small")
