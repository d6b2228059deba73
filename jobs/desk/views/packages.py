"""Service packages: the list, one as a form, one taken off the offer."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.selectors.prices import terms_get
from jobs.desk import packages as services
from jobs.desk.forms import PackageForm
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.trackday.models import ServicePackage


def packages(request: HttpRequest) -> HttpResponse:
    context = {"packages": services.packages_listed(), "currency": business_get().currency}
    return render(request, "desk/packages.html", context)


def package_new(request: SignedIn) -> HttpResponse:
    return _package_form(request, ServicePackage(), _("New service package"))


def package_edit(request: SignedIn, pk: int) -> HttpResponse:
    package = get_object_or_404(ServicePackage, pk=pk)
    return _package_form(request, package, package.name)


def _package_form(request: SignedIn, package: ServicePackage, title: str) -> HttpResponse:
    price = services.price_of(package)
    form = PackageForm(
        request.POST or None,
        instance=package,
        price=price.price if price else None,
        currency=business_get().currency,
        with_tax=terms_get().prices_include_tax,
    )
    if request.method == "POST" and form.is_valid() and _written(request, form):
        messages.success(request, _("%(name)s is kept.") % {"name": package.name})
        return redirect("desk:packages")
    used = services.entries_with(package) if package.pk else 0
    context = {"form": form, "title": title, "used": used, "package": package}
    return render(request, "desk/package.html", context)


def _written(request: SignedIn, form: PackageForm) -> bool:
    data = form.cleaned_data
    try:
        services.package_write(
            package=form.instance,
            price=data["price"],
            checklists=list(data["checklists"]) if form.has_checklists else None,
            by=request.user,
        )
    except ValidationError as error:
        for field, found in getattr(error, "error_dict", {None: error}).items():
            form.add_error(field if field in form.fields else None, found)
        return False
    return True


@require_POST
def package_drop(request: SignedIn, pk: int) -> HttpResponse:
    package = get_object_or_404(ServicePackage, pk=pk)
    words = {"name": package.name}
    if services.package_drop(package=package, by=request.user):
        messages.success(request, _("%(name)s is removed.") % words)
    else:
        messages.success(request, _("%(name)s is retired: it stays where it was booked.") % words)
    return redirect("desk:packages")
