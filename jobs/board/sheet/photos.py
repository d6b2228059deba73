"""Photos of a bike: taken, put side by side, and handed out to those who work here."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.acts.web import act_from_form
from jobs.files.responses import photo_response
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.setups.enums import Subject
from jobs.setups.models import BikePhoto
from jobs.trackday.models import Entry

from ..taken import photo_taken
from .identity import entry_get, head_of
from .spots import tread, wheels

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
            _take(request, entry)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return redirect("board:sheet-photos", entry_id=entry.pk)
    context = {
        "entry": entry,
        "head": head_of(entry),
        "pairs": selectors.photos_of_entry(entry),
        "subjects": Subject.choices,
        "wheels": wheels(),
        "tread": tread(SIDES),
    }
    return render(request, "board/sheet/photos.html", context)


def _take(request: SignedIn, entry: Entry) -> None:
    taken = photo_taken(request)
    if not taken:
        raise ValidationError(_("Take or choose a photo first."))
    payload = {
        "entry": entry.pk,
        "photo": taken,
        **{name: request.POST.get(name, "") for name in ("subject", "end", "place", "words")},
    }
    act_from_form(request, kind="photo", payload=payload, trackday=entry.trackday)


def picture(request: SignedIn, row_id: uuid.UUID, size: str) -> HttpResponseBase:
    """One photo of the book, small or whole."""
    row = get_object_or_404(BikePhoto.objects.select_related("photo"), pk=row_id)
    return photo_response(row.photo, small=size == "small")
