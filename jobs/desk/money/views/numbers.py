"""How documents are numbered: those of the business, and those of a crew with its own numbers."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.billing.services.series import series_all, series_begin, series_of_crews
from jobs.desk.records import record_create, record_update
from jobs.people.access import SignedIn
from jobs.people.enums import TrailEvent
from jobs.people.models import NamedCrew, User
from jobs.people.trail import noted

from ..forms import CrewNameForm, NumbersForm
from .prices import kept


def numbers(request: SignedIn) -> HttpResponse:
    """Of the business; its crews are listed."""
    forms = [NumbersForm(request.POST or None, series=series) for series in series_all()]
    if request.method == "POST" and _all_begun(forms, request.user):
        messages.success(request, _("Kept. Issued documents keep their numbers."))
        return redirect("money:numbers")
    context = {"forms": forms, "crews": series_of_crews()}
    return render(request, "money/numbers.html", context)


def crew_new(request: SignedIn) -> HttpResponse:
    form = CrewNameForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        crew = record_create(form=form, by=request.user)
        return redirect("money:numbers-crew", crew.pk)
    return render(request, "money/form.html", {"form": form, "title": _("New crew")})


def crew(request: SignedIn, pk: int) -> HttpResponse:
    """A crew's name and its own numbers; a kind left empty is numbered with the business's."""
    found = get_object_or_404(NamedCrew, pk=pk)
    named = CrewNameForm(request.POST or None, instance=found)
    forms = [
        NumbersForm(request.POST or None, series=series, instead=instead)
        for series, instead in zip(series_all(found), series_all(), strict=True)
    ]
    if request.method == "POST" and named.is_valid():
        with transaction.atomic():
            right = _all_begun(forms, request.user)
            if right:
                record_update(form=named, by=request.user)
        if right:
            messages.success(request, _("Kept. Issued documents keep their numbers."))
            return redirect("money:numbers-crew", pk)
    name = NamedCrew.objects.get(pk=pk).name  # as kept, whatever was typed
    context = {"crew": name, "named": named, "forms": forms}
    return render(request, "money/numbers.html", context)


def _all_begun(forms: list[NumbersForm], by: User) -> bool:
    """All kinds or none: what was typed stays until every one of them is right."""
    if any(form.errors for form in forms):
        return False
    begin = noted(TrailEvent.NUMBERS_BEGUN, by, series_begin)
    with transaction.atomic():
        for form in forms:
            if form.has_changed():
                kept(form, begin, kind=form.kind, crew=form.crew, **form.cleaned_data)
        right = not any(form.errors for form in forms)
        transaction.set_rollback(not right)
    return right
