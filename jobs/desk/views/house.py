"""Pages of the business itself: its details, venues, crew, devices, mail, who changed what."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.desk import lists
from jobs.desk.forms import BusinessForm, CrewForm, VenueForm
from jobs.desk.mail_server import letter_tried, mail_form, mail_form_keep, mail_said
from jobs.desk.records import record_create, record_update
from jobs.outbox.selectors import mails_recent, mails_refused
from jobs.outbox.services import job_retry
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import Device, User
from jobs.people.selectors import business_get
from jobs.people.services import device_shut_out, edit_note, password_set, tuner_remains
from jobs.people.trail import trail_note
from jobs.setups.services import travel_place_say
from jobs.trackday.models import Venue


def business(request: SignedIn) -> HttpResponse:
    found = business_get()
    write = record_update if found.name else record_create
    form = BusinessForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            kept = write(form=form, by=request.user)
            trail_note(TrailEvent.BUSINESS_CHANGED, by=request.user, ref=kept.pk)
            if kept.rear_travel_place:
                travel_place_say(place=kept.rear_travel_place)
        messages.success(request, _("Kept."))
        return redirect("desk:business")
    page = {"form": form, "venues": Venue.objects.all()}
    return render(request, "desk/business.html", page)


def venue_new(request: SignedIn) -> HttpResponse:
    form = VenueForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        record_create(form=form, by=request.user)
        return redirect("desk:business")
    return render(request, "desk/form.html", {"form": form, "title": _("New venue")})


def venue_edit(request: SignedIn, pk: int) -> HttpResponse:
    venue = get_object_or_404(Venue, pk=pk)
    form = VenueForm(request.POST or None, instance=venue)
    if request.method == "POST" and form.is_valid():
        record_update(form=form, by=request.user)
        return redirect("desk:business")
    return render(request, "desk/form.html", {"form": form, "title": venue.name})


def crew(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/crew.html", {"crew": lists.crew()})


def crew_new(request: SignedIn) -> HttpResponse:
    return _crew_form(request, User(), _("New crew member"))


def crew_edit(request: SignedIn, pk: int) -> HttpResponse:
    user = get_object_or_404(lists.crew(), pk=pk)
    return _crew_form(request, user, user.display_name)


def _crew_form(request: SignedIn, user: User, title: str) -> HttpResponse:
    form = CrewForm(request.POST or None, instance=user)
    if request.method == "POST" and form.is_valid() and _crew_written(request, form, user):
        return redirect("desk:crew")
    return render(request, "desk/form.html", {"form": form, "title": title})


def _crew_written(request: SignedIn, form: CrewForm, user: User) -> bool:
    try:
        with tuner_remains():
            is_new = user.pk is None
            write = record_create if is_new else record_update
            write(form=form, by=request.user)
            event = TrailEvent.CREW_ENTERED if is_new else TrailEvent.CREW_CHANGED
            trail_note(event, by=request.user, ref=user.pk)
            if password := form.cleaned_data["password"]:
                password_set(user=user, password=password)
                trail_note(TrailEvent.PASSWORD_SET, by=request.user, ref=user.pk)
    except ValidationError as error:
        form.add_error("role", error)
        return False
    return True


def devices(request: HttpRequest) -> HttpResponse:
    found = Device.objects.select_related("enrolled_by")
    return render(request, "desk/devices.html", {"devices": found})


@require_POST
def device_out(request: SignedIn, pk: object) -> HttpResponse:
    device = get_object_or_404(Device, pk=pk)
    with transaction.atomic():
        device_shut_out(device=device)
        trail_note(TrailEvent.DEVICE_SHUT_OUT, by=request.user, ref=device.pk)
        edit_note(
            by=request.user, verb=EditVerb.REMOVED, what="device", title=device.name, ref=device.pk
        )
    messages.success(request, _("%(name)s opens nothing any more.") % {"name": device.name})
    return redirect("desk:devices")


def mails(request: HttpRequest) -> HttpResponse:
    refused = mails_refused()
    rows = [{"mail": mail, "refused": refused.get(str(mail.pk))} for mail in mails_recent()]
    return render(request, "desk/mails.html", {"rows": rows, "said": mail_said()})


def mail_server(request: SignedIn) -> HttpResponse:
    """Set the mail server, and try it by a letter to oneself."""
    form = mail_form(request.POST or None, request.user)
    if request.method == "POST" and form.is_valid() and _mail_server_tried(request, form):
        return redirect("desk:mails")
    page = {"form": form, "said": mail_said()}
    return render(request, "desk/mail_server.html", page)


def _mail_server_tried(request: SignedIn, form: BaseForm) -> bool:
    try:
        mail_form_keep(form, request.user)
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return letter_tried(request, form)


@require_POST
def mail_again(request: SignedIn, pk: uuid.UUID) -> HttpResponse:
    """Have a letter tried again that was given up."""
    job = mails_refused().get(str(pk))
    if job is not None and job_retry(job_id=job.pk):
        messages.success(request, _("It is being sent again."))
    return redirect("desk:mails")


def edits(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/edits.html", {"edits": lists.edits()})
