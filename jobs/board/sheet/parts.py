"""Tyres and other parts: what is on, since when, and how many outings it has seen."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage.enums import End, FittingKind, TyreState
from jobs.people.access import SignedIn
from jobs.people.models import Business
from jobs.setups.measures import PRESSURE, canonical, units
from jobs.trackday.models import Entry

from .forms import FittingForm
from .identity import entry_get, head_of

PLAIN = ("kind", "end", "name", "compound", "date_code", "detail")
NUMBERS = ("warmers_c", "due_after_outings", "new_depth_mm")


def fittings(request: SignedIn, entry_id: int) -> HttpResponse:
    """The bike's parts; posting fits one or takes one off."""
    entry = entry_get(entry_id)
    if request.POST.get("off"):
        payload = {"entry": entry.pk, "fitting": request.POST["off"]}
        act_from_form(request, kind="fitting_off", payload=payload, trackday=entry.trackday)
        return redirect("board:sheet-fittings", entry_id=entry.pk)
    form = FittingForm(request.POST or None)
    if form.is_valid() and _fitted(request, entry, form):
        return redirect("board:sheet-fittings", entry_id=entry.pk)
    head = head_of(entry)
    business = Business.objects.first()
    context = {
        "entry": entry,
        "head": head,
        "form": form,
        "on": [part for part in head.parts if part.fitting.removed_at is None],
        "off": [part for part in head.parts if part.fitting.removed_at is not None],
        "kinds": FittingKind.choices,
        "ends": End.choices,
        "states": TyreState.choices,
        "units": units(PRESSURE),
        "usual_unit": business.pressure_unit if business else units(PRESSURE)[0],
    }
    return render(request, "board/sheet/fittings.html", context)


def _fitted(request: SignedIn, entry: Entry, form: FittingForm) -> bool:
    given = form.cleaned_data
    payload: dict[str, Any] = {
        "entry": entry.pk,
        **{name: given[name] for name in PLAIN},
        **{name: None if given[name] is None else str(given[name]) for name in NUMBERS},
        "maker_range_kpa": _ranges(form),
    }
    act = act_from_form(request, kind="fitting", payload=payload, trackday=entry.trackday)
    return act.outcome != Outcome.REFUSED


def _ranges(form: FittingForm) -> dict[str, list[float]]:
    """The maker's range of each tyre state that was filled in, in kPa."""
    unit = form.cleaned_data["range_unit"] or units(PRESSURE)[0]
    found = {}
    for state in TyreState.values:
        low, high = form.cleaned_data[f"{state}_low"], form.cleaned_data[f"{state}_high"]
        if low is not None and high is not None:
            found[state] = [float(canonical(value, unit, PRESSURE)) for value in (low, high)]
    return found
