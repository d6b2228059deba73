"""A tag's address, the field for a plate's number, and the sheet of tags to print."""

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.garage.models import Bike
from jobs.people.access import SignedIn
from jobs.people.typed import whole_number
from jobs.trackday.at_hand import own_trackday
from jobs.trackday.models import Entry
from jobs.trackday.selectors import entries_coming

from ..day.trackday_lookup import trackday_or_404
from . import codes


def scanned(request: SignedIn, bike_id: int) -> HttpResponse:
    """To the bike's sheet of the day at hand, else of its newest day."""
    bike = get_object_or_404(Bike, pk=bike_id)
    today = own_trackday(request)
    entry = Entry.objects.filter(bike=bike, trackday=today).order_by("-pk").first()
    if entry is None:
        return redirect("board:bike", bike_id=bike.pk)
    return redirect("board:sheet", entry_id=entry.pk)


def find(request: SignedIn) -> HttpResponse:
    """The bikes of the day at hand by number; a number only one of them has opens its sheet."""
    wanted = " ".join(request.GET.get("number", "").split())[:20]
    today = own_trackday(request)
    entries = (
        Entry.objects.filter(trackday=today).select_related("bike", "group").order_by("pk")
        if today
        else []
    )
    found = [entry for entry in entries if _same(entry, wanted)] if wanted else list(entries)
    if wanted and len(found) == 1:
        return redirect("board:sheet", entry_id=found[0].pk)
    context = {"trackday": today, "wanted": wanted, "found": sorted(found, key=_by_number)}
    return render(request, "board/tags/find.html", context)


def tags(request: SignedIn, trackday_id: int) -> HttpResponse:
    """A tag for every bike of the day, ten on a page of A4; ``?entry=`` prints one again."""
    trackday = trackday_or_404(trackday_id)
    entries = entries_coming(trackday).select_related("bike", "group")
    one = request.GET.get("entry", "")
    if one:
        entries = entries.filter(pk=whole_number(one) or 0)
        if not entries:
            raise Http404(_("There is no such bike on this day."))
    context = {
        "trackday": trackday,
        "tags": [
            (entry, codes.tag_svg(entry.bike_id)) for entry in sorted(entries, key=_by_number)
        ],
        "one": bool(one),
        "only_here": codes.only_here(),
        "address": settings.PUBLIC_URL,
    }
    return render(request, "board/tags/tags.html", context)


def _same(entry: Entry, wanted: str) -> bool:
    """ "47", "47 a" and "47A" are that bike's number; so is a zero left out before it."""
    number, letter = entry.number.casefold(), entry.group.letter.casefold()
    typed = wanted.casefold().replace(" ", "")
    known = {number, number.lstrip("0")} - {""}
    return typed in known | {one + letter for one in known}


def _by_number(entry: Entry) -> tuple[str, int, str, int]:
    digits = entry.number if entry.number.isdecimal() else ""
    return entry.group.letter, int(digits or 0), entry.number, entry.pk
