from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import ModelForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.desk.forms import EntryForm, NewEntryForm
from jobs.desk.forms.entries import BikeForm, RiderOfEntryForm
from jobs.desk.imports.entry_import import entries_write
from jobs.desk.records import record_update
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb
from jobs.people.services import edit_note
from jobs.trackday import services
from jobs.trackday.enums import Absence
from jobs.trackday.models import Entry, Trackday


def entry_new(request: SignedIn, pk: int) -> HttpResponse:
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    form = NewEntryForm(request.POST or None, trackday=day)
    if request.method == "POST" and form.is_valid() and form.line is not None:
        with transaction.atomic():
            [entry] = entries_write(trackday=day, lines=[form.line])
            edit_note(
                by=request.user,
                verb=EditVerb.NEW,
                what="entry",
                title=form.line.title,
                ref=entry.pk,
            )
        messages.success(request, _("%(entry)s is entered.") % {"entry": form.line.title})
        for notice in form.line.notices:
            messages.warning(request, notice)
        return redirect("desk:trackday", pk)
    return render(request, "desk/entry_new.html", {"form": form, "day": day})


def entry_edit(request: SignedIn, pk: int) -> HttpResponse:
    entry = get_object_or_404(
        Entry.objects.select_related("trackday", "bike__owner", "rider", "group"), pk=pk
    )
    forms: dict[str, ModelForm[Any]] = {
        "entry": EntryForm(request.POST or None, instance=entry, prefix="entry"),
        "bike": BikeForm(request.POST or None, instance=entry.bike, prefix="bike"),
        "rider": RiderOfEntryForm(request.POST or None, instance=entry.rider, prefix="rider"),
    }
    if request.method == "POST" and _all_valid(forms):
        with transaction.atomic():
            for form in forms.values():
                record_update(form=form, by=request.user)
            services.revision_bump(trackday_id=entry.trackday_id)
        messages.success(request, _("%(entry)s is kept.") % {"entry": entry})
        return redirect("desk:trackday", entry.trackday_id)
    context = {
        "entry": entry,
        "forms": forms,
        "absences": Absence.choices,
        "removable": not services.entry_has_rows(entry),
    }
    return render(request, "desk/entry_edit.html", context)


@require_POST
def entry_remove(request: SignedIn, pk: int) -> HttpResponse:
    """An entry made by mistake: removed while nothing is recorded of it."""
    entry = get_object_or_404(Entry.objects.select_related("bike"), pk=pk)
    title = str(entry)
    try:
        with transaction.atomic():
            services.entry_remove(entry=entry)
            edit_note(by=request.user, verb=EditVerb.REMOVED, what="entry", title=title, ref=pk)
            services.revision_bump(trackday_id=entry.trackday_id)
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("desk:entry-edit", pk)
    messages.success(request, _("%(entry)s is removed from the day.") % {"entry": title})
    return redirect("desk:trackday", entry.trackday_id)


def _all_valid(forms: dict[str, ModelForm[Any]]) -> bool:
    """Every form is asked, so that every fault is shown at once."""
    return [form.is_valid() for form in forms.values()].count(False) == 0
