"""Model sheets taken in: a JSON file at once, a list after its columns were matched and shown."""

import hashlib
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from jobs.garage import services
from jobs.garage.models import ModelSheet
from jobs.garage.sheet_files import (
    SHEET_FIELDS,
    SheetData,
    SheetsRead,
    sheets_from_json,
    sheets_from_list,
)
from jobs.people.access import SignedIn
from jobs.tables.forms import MOST_BYTES, ListForm
from jobs.tables.services import format_remember


class SheetsListForm(ListForm):
    kind = "model sheets"
    list_fields = SHEET_FIELDS


def imported(request: SignedIn) -> HttpResponse:
    """A file of sheets: all of them or none, every fault named."""
    file = request.FILES.get("file")
    if file is not None and (file.name or "").lower().endswith(".json"):
        return _json_taken_in(request, file)
    form = SheetsListForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    page: dict[str, Any] = {"form": form}
    if request.method == "POST" and form.is_valid():
        read = sheets_from_list(form.current.text, formats=form.formats, choice=form.choice)
        shown = _shown(read.sheets)
        if not read.faults and form.cleaned_data["seen"] == shown["fingerprint"]:
            format_remember(kind=form.kind, matching=read.matching)
            return _taken_in(request, read.sheets)
        page |= {"read": read, **shown, **_columns(form, read)}
    return render(request, "board/sheet/model_sheets_import.html", page)


def _json_taken_in(request: SignedIn, file: UploadedFile[Any]) -> HttpResponse:
    try:
        if (file.size or 0) > MOST_BYTES:
            raise ValidationError(_("The file is larger than 2 MB."))
        return _taken_in(request, sheets_from_json(file.read()))
    except ValidationError as error:
        page = {"form": SheetsListForm(), "json_faults": error.messages}
        return render(request, "board/sheet/model_sheets_import.html", page)


def _taken_in(request: SignedIn, sheets: list[SheetData]) -> HttpResponse:
    new, replaced = services.sheets_import(sheets=sheets)
    messages.success(
        request,
        _("%(new)s sheets new, %(replaced)s replaced.") % {"new": new, "replaced": replaced},
    )
    return redirect("board:model-sheets")


def _columns(form: SheetsListForm, read: SheetsRead) -> dict[str, Any]:
    return {
        "matching": read.matching,
        "columns_shown": form.columns_shown(read.matching),
        "columns_open": bool(read.faults or read.matching.unsure),
    }


def _shown(sheets: list[SheetData]) -> dict[str, Any]:
    """Every sheet with what it would be, and a fingerprint of all that would be written."""
    known = {
        (sheet.make, sheet.model, sheet.year)
        for sheet in ModelSheet.objects.filter(make__in={sheet.make for sheet in sheets})
    }
    rows = [
        {"sheet": sheet, "is_known": (sheet.make, sheet.model, sheet.year) in known}
        for sheet in sheets
    ]
    said = repr([(sheet, row["is_known"]) for sheet, row in zip(sheets, rows, strict=True)])
    return {"sheets": rows, "fingerprint": hashlib.sha256(said.encode()).hexdigest()}
