"""Pages of the workbench: gate (the access table), read what was typed, work it out, render."""

from itertools import groupby

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from jobs.calculators.answers import Calculator, CalculatorOutput, calculate
from jobs.calculators.bike import numbers_of_bike
from jobs.calculators.business import business_figures
from jobs.calculators.catalogue import BY_SLUG, CALCULATORS
from jobs.garage.models import Bike
from jobs.people.access import SignedIn
from jobs.people.enums import Role
from jobs.people.typed import whole_number

from . import own_figures
from .forms import filled_inputs


@require_GET
def home(request: SignedIn) -> HttpResponse:
    """Every calculator by what it answers, in the order of work."""
    groups = [
        (name, list(found)) for name, found in groupby(CALCULATORS, key=lambda one: str(one.group))
    ]
    return render(request, "workbench/home.html", {"groups": groups, "bike": _bike(request)})


@require_GET
def page(request: SignedIn, slug: str) -> HttpResponse:
    """One calculator: empty, with a bike's numbers, or with what was typed."""
    calculator = _calculator(slug)
    bike = _bike(request)
    known = numbers_of_bike(bike, slug, request.GET.get("end", "")) if bike else {}
    typed = {**known, **request.GET.dict()}
    ours = business_figures(slug)
    inputs = filled_inputs(calculator, typed, ours)
    data = {name: value for one in inputs for name, value in one.data().items()}
    if request.GET.get("sure"):
        data["sure"] = "1"
    context = {
        "calculator": calculator,
        "inputs": [one for one in inputs if not one.field.further],
        "further": [one for one in inputs if one.field.further],
        "bike": bike,
        "result": calculate(calculator, data, ours),
        "all": CALCULATORS,
    }
    response = render(request, "workbench/page.html", context)
    if not calculator.crew:  # it has money: no tablet keeps it
        patch_cache_control(response, no_store=True)
    return response


@require_GET
def answer(request: SignedIn, slug: str) -> HttpResponse:
    """The answer alone, for a form that asks while a number is being typed."""
    calculator = _calculator(slug)
    if request.user.role == Role.HELPER and not calculator.crew:
        raise PermissionDenied(_("Your role does not open this page."))
    ours = business_figures(slug)
    return _answer(request, calculator, calculate(calculator, request.GET, ours))


@require_http_methods(["GET", "POST"])
def own_table(request: SignedIn) -> HttpResponse:
    """The tuner's own figures beside the published ranges and their disagreement."""
    if request.method != "POST":
        return render(
            request, "workbench/table.html", {"rows": own_figures.rows(business_figures().bands)}
        )
    errors = own_figures.save(request.POST)
    if errors:
        rows = own_figures.rows(business_figures().bands, request.POST, errors)
        return render(request, "workbench/table.html", {"rows": rows}, status=422)
    messages.success(request, _("Your figures are kept."))
    return redirect("workbench:table")


def _answer(request: HttpRequest, calculator: Calculator, result: CalculatorOutput) -> HttpResponse:
    short = request.GET.get("short") == "1"
    template = "workbench/short.html" if short else "workbench/answer.html"
    return render(request, template, {"calculator": calculator, "result": result})


def _calculator(slug: str) -> Calculator:
    if slug not in BY_SLUG:
        raise Http404(_("There is no such calculator."))
    return BY_SLUG[slug]


def _bike(request: HttpRequest) -> Bike | None:
    wanted = request.GET.get("bike", "")
    if not wanted:
        return None
    return get_object_or_404(Bike, pk=whole_number(wanted) or 0)
