"""Tyres and other parts: what is on, since when, and how many outings it has seen."""

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage.enums import End, FittingKind, TyreState
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.setups.measures import PRESSURE, units
from jobs.trackday.models import Entry

from .bike_header import bike_header_of, entry_get
from .forms import FittingForm


def fittings(request: SignedIn, entry_id: int) -> HttpResponse:
    """The bike's parts; posting fits one or takes one off."""
    entry = entry_get(entry_id)
    kind = "fitting_off" if request.POST.get("off") else "fitting"
    if request.method == "POST" and _done(request, kind, entry):
        return redirect("board:sheet-fittings", entry_id=entry.pk)
    form = FittingForm(request.POST or None)
    head = bike_header_of(entry)
    business = business_get()
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
        "usual_unit": business.pressure_unit,
    }
    return render(request, "board/sheet/fittings.html", context)


def _done(request: SignedIn, kind: str, entry: Entry) -> bool:
    """Whether a part was fitted; else the form says why. Taking one off needs no form."""
    about = {"entry": entry.pk}
    try:
        act = act_from_form(request, kind=kind, about=about, trackday=entry.trackday)
    except ValidationError:
        return False
    return kind == "fitting_off" or act.outcome != Outcome.REFUSED
