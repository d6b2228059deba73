"""Checklists: the list, one with its items, one item. Every save makes the next version."""

import json
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.people.access import SignedIn
from jobs.worklist.models import Checklist, ChecklistItem
from jobs.worklist.selectors import checklists_current
from jobs.worklist.services import checklist_save, checklists_load, items_copied

from .forms import ChecklistForm, ItemForm

DEFAULTS = Path(settings.BASE_DIR) / "fixtures" / "checklists.json"


def checklists(request: SignedIn) -> HttpResponse:
    if request.method == "POST":
        made = checklists_load(lists=json.loads(DEFAULTS.read_text()))
        messages.success(request, _("%(n)d default checklists loaded.") % {"n": len(made)})
        return redirect("board:checklists")
    return render(request, "board/checklists/list.html", {"checklists": checklists_current()})


def checklist(request: SignedIn, code: str) -> HttpResponse:
    found = _current(code)
    form = ChecklistForm(
        request.POST or None,
        initial={"name": found.name, "packages": found.packages.all()},
    )
    if form.is_valid():
        _save(request, found, items_copied(found), form.cleaned_data["name"], form)
        return redirect("board:checklist", code)
    return render(request, "board/checklists/checklist.html", {"checklist": found, "form": form})


def item(request: SignedIn, code: str, item_code: str = "") -> HttpResponse:
    found = _current(code)
    copies = items_copied(found)
    row = next((one for one in copies if one.code == item_code), None)
    if item_code and row is None:
        return redirect("board:checklist", code)
    form = ItemForm(
        request.POST or None,
        instance=row or ChecklistItem(checklist=found, minutes=2, order=len(copies)),
        checklist=found,
    )
    if form.is_valid():
        made = form.item()
        if row is None:
            made.code = _free_code(made.code, copies)
            copies.append(made)
        copies.sort(key=lambda one: one.order)
        if _save(request, found, copies, found.name):
            return redirect("board:checklist", code)
    return render(
        request, "board/checklists/item.html", {"checklist": found, "form": form, "row": row}
    )


@require_POST
def remove(request: SignedIn, code: str, item_code: str) -> HttpResponse:
    found = _current(code)
    _save(request, found, [one for one in items_copied(found) if one.code != item_code], found.name)
    return redirect("board:checklist", code)


def _current(code: str) -> Checklist:
    return get_object_or_404(checklists_current(), code=code)


def _free_code(code: str, items: list[ChecklistItem]) -> str:
    """A code no other item of the list has."""
    taken = {one.code for one in items}
    numbered = (f"{code}-{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (code, *numbered) if one not in taken)


def _save(
    request: SignedIn,
    checklist: Checklist,
    items: list[ChecklistItem],
    name: str,
    form: ChecklistForm | None = None,
) -> bool:
    packages = list(form.cleaned_data["packages"]) if form else None
    try:
        made = checklist_save(code=checklist.code, name=name, items=items, packages=packages)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return False
    if made is None:
        messages.info(request, _("Nothing was changed."))
    else:
        messages.success(
            request,
            _("Saved as version %(n)d. A day that has begun keeps the version it began with.")
            % {"n": made.version},
        )
    return True
