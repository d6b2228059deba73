"""The springs that the van carries: the list, one as a form, one taken off the list."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.desk.forms import SpringInVanForm
from jobs.desk.records import record_create, record_remove, record_update
from jobs.garage.models import SpringInVan
from jobs.people.access import SignedIn


def springs(request: HttpRequest) -> HttpResponse:
    return render(request, "desk/springs.html", {"springs": SpringInVan.objects.all()})


def spring_new(request: SignedIn) -> HttpResponse:
    return _spring_form(request, SpringInVan(), _("New springs"))


def spring_edit(request: SignedIn, pk: int) -> HttpResponse:
    spring = get_object_or_404(SpringInVan, pk=pk)
    return _spring_form(request, spring, str(spring))


def _spring_form(request: SignedIn, spring: SpringInVan, title: str) -> HttpResponse:
    write = record_update if spring.pk else record_create
    form = SpringInVanForm(request.POST or None, instance=spring)
    if request.method == "POST" and form.is_valid():
        kept = write(form=form, by=request.user)
        messages.success(request, _("%(springs)s: kept.") % {"springs": kept})
        return redirect("desk:springs")
    return render(
        request, "desk/spring.html", {"form": form, "title": title, "removable": spring.pk}
    )


@require_POST
def spring_remove(request: SignedIn, pk: int) -> HttpResponse:
    spring = get_object_or_404(SpringInVan, pk=pk)
    words = {"springs": str(spring)}
    record_remove(record=spring, by=request.user)
    messages.success(request, _("%(springs)s: off the list.") % words)
    return redirect("desk:springs")
