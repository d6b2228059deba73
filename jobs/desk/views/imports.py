"""Import in two steps, nothing kept between them: preview, then the same text again to write."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.desk.forms import ImportForm
from jobs.desk.imports.columns import ENTRY_COLUMNS, TIMETABLE_COLUMNS
from jobs.desk.imports.entry_import import entries_write
from jobs.desk.imports.entry_preview import entries_preview
from jobs.desk.imports.preview import Preview
from jobs.desk.imports.timetable_import import (
    TimetablePreview,
    timetable_preview,
    timetable_write,
)
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb
from jobs.people.models import User
from jobs.people.services import edit_note
from jobs.trackday.models import Trackday

COLUMNS = {"entries": ENTRY_COLUMNS, "timetable": TIMETABLE_COLUMNS}


def import_entries(request: SignedIn, pk: int) -> HttpResponse:
    return _import(request, pk, "entries")


def import_timetable(request: SignedIn, pk: int) -> HttpResponse:
    return _import(request, pk, "timetable")


def _import(request: SignedIn, pk: int, kind: str) -> HttpResponse:
    day = get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)
    form = ImportForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    page: dict[str, Any] = {"day": day, "kind": kind, "form": form, "columns": COLUMNS[kind]}
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            preview = _preview(kind, day, form.cleaned_data)
            written = _write_if_seen(kind, day, preview, form.cleaned_data["seen"], request.user)
        if written:
            messages.success(request, _summary(preview))
            return redirect("desk:trackday", pk)
        if form.cleaned_data["seen"]:
            messages.warning(
                request, _("The day has changed since the preview. Please look again.")
            )
        page |= {
            "preview": preview,
            "text": form.cleaned_data["text"],
            "package": form.cleaned_data["package"],
        }
    return render(request, "desk/import.html", page)


def _preview(kind: str, day: Trackday, data: dict[str, Any]) -> Preview[Any]:
    if kind == "timetable":
        return timetable_preview(trackday=day, text=data["text"])
    return entries_preview(trackday=day, text=data["text"], package=data["package"])


def _write_if_seen(kind: str, day: Trackday, preview: Preview[Any], seen: str, by: User) -> bool:
    """Write what the person was shown; if it would now be something else, write nothing."""
    if not preview.may_be_written or seen != preview.fingerprint:
        return False
    if isinstance(preview, TimetablePreview):
        timetable_write(trackday=day, preview=preview)
    else:
        entries_write(trackday=day, lines=preview.lines)
    edit_note(
        by=by,
        verb=EditVerb.IMPORTED,
        what=kind,
        title=str(day),
        ref=day.pk,
        changes=preview.record(),
    )
    return True


def _summary(preview: Preview[Any]) -> str:
    return _("%(new)d new, %(changed)d changed, %(same)d as they were.") % {
        "new": len(preview.new),
        "changed": len(preview.changed),
        "same": len(preview.same),
    }
