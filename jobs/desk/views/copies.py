"""A day made from another, an event's second day, and a timetable in regular turns."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.desk.forms import CopyForm, RegularTimetableForm
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb
from jobs.people.models import User
from jobs.people.services import edit_note
from jobs.trackday.copying import DayPart, next_day, trackday_copy
from jobs.trackday.models import Trackday
from jobs.trackday.regular_timetable import timetable_make


def _get(pk: int) -> Trackday:
    return get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)


def trackday_from(request: SignedIn, pk: int) -> HttpResponse:
    """Another day from this one; what is taken over is ticked."""
    source = _get(pk)
    initial = {
        "date": next_day(source),
        "name": source.name,
        "event": source.event,
        "parts": [DayPart.TIMETABLE, DayPart.CREW],
    }
    form = CopyForm(request.POST or None, initial=initial, source=source)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        day = _copied(
            request.user, source=source, on=data["date"], name=data["name"], event=data["event"],
            parts=data["parts"],
        )  # fmt: skip
        return redirect("desk:trackday", day.pk)
    return render(request, "desk/trackday_from.html", {"form": form, "day": source})


@require_POST
def second_day(request: SignedIn, pk: int) -> HttpResponse:
    """The day after, with everything that was planned, as one event with this one. One tap."""
    source = _get(pk)
    on = next_day(source)
    there = Trackday.objects.filter(venue=source.venue_id, date=on, name=source.name).first()
    if there is not None:
        messages.info(request, _("The second day is there already."))
        return redirect("desk:trackday", there.pk)
    with transaction.atomic():
        if not source.event:
            source.event = source.name
            source.save(update_fields=["event"])
        day = _copied(
            request.user, source=source, on=on, name=source.name, event=source.event,
            parts=DayPart.values,
        )  # fmt: skip
    messages.success(
        request, _("The second day is made, with the timetable, the crew and every entry.")
    )
    return redirect("desk:trackday", day.pk)


@transaction.atomic
def _copied(by: User, **values: object) -> Trackday:
    day = trackday_copy(**values)  # type: ignore[arg-type]
    edit_note(by=by, verb=EditVerb.NEW, what="trackday", title=str(day), ref=day.pk)
    return day


def timetable_regular(request: SignedIn, pk: int) -> HttpResponse:
    """Run groups in turns, for a day whose organiser gives no file."""
    day = _get(pk)
    form = RegularTimetableForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _made(request, form, day):
        return redirect("desk:trackday", pk)
    return render(request, "desk/form.html", {"form": form, "title": _("A regular timetable")})


def _made(request: SignedIn, form: RegularTimetableForm, day: Trackday) -> bool:
    moments = form.moments(day.date, day.venue.timezone)
    if form.errors:
        return False
    try:
        with transaction.atomic():
            count = timetable_make(trackday=day, **moments)
            edit_note(
                by=request.user, verb=EditVerb.NEW, what="timetable", title=str(day), ref=day.pk,
                changes={"sessions": ["0", str(count)]},
            )  # fmt: skip
    except ValidationError as error:
        form.add_error(None, error)
        return False
    messages.success(request, _("%(n)d sessions are in the timetable.") % {"n": count})
    return True
