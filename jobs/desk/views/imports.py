"""Import in two steps, nothing kept between them: preview, then the same rows again to write."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.desk.forms.imports import EntriesListForm, TimetableListForm
from jobs.desk.imports.entry_changes import EntryPreviewLine
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
from jobs.tables.forms import ListForm
from jobs.tables.services import format_remember
from jobs.trackday.models import Trackday


def import_entries(request: SignedIn, pk: int) -> HttpResponse:
    day = _day(pk)
    return _import(request, day, EntriesListForm(*_posted(request), trackday=day))


def import_timetable(request: SignedIn, pk: int) -> HttpResponse:
    return _import(request, _day(pk), TimetableListForm(*_posted(request)))


def _day(pk: int) -> Trackday:
    return get_object_or_404(Trackday.objects.select_related("venue"), pk=pk)


def _posted(request: SignedIn) -> tuple[Any, ...]:
    return (request.POST, request.FILES) if request.method == "POST" else ()


def _import(request: SignedIn, day: Trackday, form: ListForm) -> HttpResponse:
    page: dict[str, Any] = {"day": day, "kind": form.kind, "form": form}
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            preview = _preview(day, form)
            written = _write_if_seen(form, day, preview, request.user)
        if written:
            messages.success(request, _summary(preview))
            _say_who_stays_off(request, preview)
            return redirect("desk:trackday", day.pk)
        if form.cleaned_data["seen"] and preview.may_be_written:
            messages.warning(
                request, _("This is not what you saw before. Please look again, then write it.")
            )
        page |= {
            "preview": preview,
            "matching": preview.matching,
            "columns_shown": form.columns_shown(preview.matching),
            "columns_open": _asks_for_columns(preview),
        }
    return render(request, "desk/import.html", page)


def _say_who_stays_off(request: SignedIn, preview: Preview[Any]) -> None:
    off = [x.title for x in preview.lines if isinstance(x, EntryPreviewLine) and x.stays_off]
    if off:
        words = _("Off this day before, and still: %(entries)s.")
        messages.warning(request, words % {"entries": "; ".join(off)})


def _asks_for_columns(preview: Preview[Any]) -> bool:
    """Whether a person has to choose columns: a guess to check, or a heading not understood."""
    line = preview.matching.header_line
    return bool(preview.matching.unsure) or any(f.line == line and f.column for f in preview.faults)


def _preview(day: Trackday, form: ListForm) -> Preview[Any]:
    text, formats, choice = form.current.text, form.formats, form.choice
    if isinstance(form, EntriesListForm):
        package, group = form.cleaned_data["package"], form.cleaned_data["group"]
        return entries_preview(
            trackday=day,
            text=text,
            package=package,
            group=group.letter if group else "",
            formats=formats,
            choice=choice,
            makes=form.makes_of_two_words,
        )
    return timetable_preview(trackday=day, text=text, formats=formats, choice=choice)


def _write_if_seen(form: ListForm, day: Trackday, preview: Preview[Any], by: User) -> bool:
    """Write what the person was shown; if it would now be something else, write nothing."""
    if not preview.may_be_written or form.cleaned_data["seen"] != preview.fingerprint:
        return False
    if isinstance(preview, TimetablePreview):
        timetable_write(trackday=day, preview=preview)
    else:
        entries_write(trackday=day, lines=preview.lines)
    format_remember(kind=form.kind, matching=preview.matching)
    edit_note(
        by=by,
        verb=EditVerb.IMPORTED,
        what=form.kind,
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
