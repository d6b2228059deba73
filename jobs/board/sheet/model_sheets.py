"""The business's own model sheets: list, one sheet, import and export, one made from a bike."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.garage import services, words
from jobs.garage.figures import FIGURES
from jobs.garage.models import ModelSheet, SheetAdjuster
from jobs.garage.sheet_files import sheets_to_csv, sheets_to_json
from jobs.people.access import SignedIn
from jobs.people.enums import OFFICE_ROLES, TrailEvent
from jobs.people.trail import trail_note
from jobs.people.typed import whole_number
from jobs.setups import selectors
from jobs.tuning.terms import MEASURED_FUNCTIONS

from .bike_header import entry_get

FILES = {"json": (sheets_to_json, "application/json"), "csv": (sheets_to_csv, "text/csv")}


def listed(request: SignedIn) -> HttpResponse:
    """Every sheet; posting keeps a bike as one."""
    if request.method == "POST":
        return _keep(request)
    sheets = ModelSheet.objects.prefetch_related("adjusters")
    return render(request, "board/sheet/model_sheets.html", {"sheets": sheets})


def _keep(request: SignedIn) -> HttpResponse:
    """ "Keep this bike as a sheet": its adjusters, and where they stand as the standard."""
    if request.user.role not in OFFICE_ROLES:
        raise PermissionDenied(_("Your role may not do this."))
    entry = entry_get(whole_number(request.POST.get("entry")) or 0)
    standards = {s.adjuster.pk: s.position for s in selectors.standings_of_entry(entry)}
    try:
        sheet = services.sheet_from_bike(bike=entry.bike, standards=standards)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("board:sheet", entry_id=entry.pk)
    messages.success(request, _("Kept as the model sheet %(name)s.") % {"name": sheet})
    return redirect("board:model-sheet", sheet_id=sheet.pk)


def shown(request: SignedIn, sheet_id: int) -> HttpResponse:
    sheet = get_object_or_404(ModelSheet.objects.prefetch_related("adjusters"), pk=sheet_id)
    known = [(figure.full_words, figure.with_unit(sheet)) for figure in FIGURES]
    context = {
        "sheet": sheet,
        "adjusters": [_row(adjuster) for adjuster in sheet.adjusters.all()],
        "figures": [row for row in known if row[1]],
        "may_write": request.user.role in OFFICE_ROLES,
    }
    return render(request, "board/sheet/model_sheet.html", context)


def _row(adjuster: SheetAdjuster) -> dict[str, str]:
    """One adjuster in words: how it is counted, from where to where, and its standard."""
    ends = (words.position_short(adjuster, end) for end in (adjuster.lowest, adjuster.highest))
    standard = adjuster.standard
    return {
        "name": words.adjuster_name(adjuster),
        "counted": f"{adjuster.get_unit_display()} {adjuster.get_origin_display()}",
        "firming": ""
        if adjuster.function in MEASURED_FUNCTIONS
        else adjuster.get_firming_display(),
        "range": " – ".join(ends),
        "step": words.amount(adjuster, adjuster.step),
        "standard": "" if standard is None else words.position_short(adjuster, standard),
    }


def exported(request: SignedIn, kind: str) -> HttpResponse:
    if kind not in FILES:
        raise Http404
    write, content_type = FILES[kind]
    sheets = ModelSheet.objects.prefetch_related("adjusters")
    trail_note(TrailEvent.EXPORTED_SHEETS, by=request.user)
    response = HttpResponse(write(sheets), content_type=f"{content_type}; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="model-sheets.{kind}"'
    return response
