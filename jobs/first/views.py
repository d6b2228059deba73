from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.people import setup_code
from jobs.people.open_sessions import enter
from jobs.people.services import place_begin

from . import gate
from .forms import FirstForm, usual_by_country


@gate.with_code
def first(request: HttpRequest) -> HttpResponse:
    """The first page of a new place: the business and its first tuner, who is then signed in."""
    form = FirstForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _begin(request, form)
    context = {"form": form, "usual": usual_by_country()}
    return render(request, "first/first.html", context)


def _begin(request: HttpRequest, form: FirstForm) -> HttpResponse:
    data = form.cleaned_data
    try:
        with setup_code.first_tuner(gate.holder_of(request)):
            user = place_begin(
                business=form.business_values(),
                name=data["name"],
                username=data["username"],
                password=data["password"],
            )
    except setup_code.PlaceIsSet:
        messages.error(request, _("Somebody else has set this place up just now: sign in."))
        return redirect("home")
    enter(request, user)
    gate.leave(request)
    words = _("Welcome. You sign in as “%(name)s” with your password.")
    messages.success(request, words % {"name": user.username})
    return redirect("desk:begin")


@require_POST
def code(request: HttpRequest) -> HttpResponse:
    """The code as it was typed."""
    if not setup_code.tuner_exists():
        gate.enter(request, request.POST.get("code", ""))
    return redirect("first")
