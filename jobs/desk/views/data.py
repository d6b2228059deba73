"""Export of all data in open formats, and removal of a customer on request."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from jobs.acts.removal import customer_remove, documents_kept
from jobs.acts.takeaway import business_takeaway, customer_takeaway
from jobs.people.access import SignedIn
from jobs.people.enums import EditVerb
from jobs.people.models import Customer
from jobs.people.selectors import same_person
from jobs.people.services import edit_note


@require_GET
def everything(request: SignedIn) -> FileResponse:
    edit_note(by=request.user, verb=EditVerb.EXPORTED, what="everything", title="")
    return FileResponse(
        business_takeaway(by=request.user), as_attachment=True, filename="everything.zip"
    )


@require_GET
def of_customer(request: SignedIn, pk: int) -> FileResponse:
    customer = get_object_or_404(Customer, pk=pk)
    edit_note(by=request.user, verb=EditVerb.EXPORTED, what="customer", title=customer.name, ref=pk)
    file = customer_takeaway(customer=customer, by=request.user)
    return FileResponse(file, as_attachment=True, filename=f"customer-{pk}.zip")


def remove(request: SignedIn, pk: int) -> HttpResponse:
    """The name is typed as a confirmation, because a removal cannot be taken back."""
    customer = get_object_or_404(Customer.objects.select_related("user"), pk=pk)
    error = ""
    if request.method == "POST":
        if request.POST.get("name", "").strip() != customer.name:
            error = _("Type the name exactly as it stands above.")
        else:
            try:
                removed = customer_remove(customer=customer, by=request.user)
            except ValidationError as refused:
                error = " ".join(refused.messages)
            else:
                messages.success(
                    request,
                    _("Removed. %(n)d issued documents are kept, as tax law asks.")
                    % {"n": removed.documents_kept},
                )
                return redirect("desk:customers")
    page = {
        "customer": customer,
        "others": same_person(customer).exclude(pk=pk),
        "error": error,
        "kept": documents_kept(customer),
    }
    return render(request, "desk/remove.html", page)
