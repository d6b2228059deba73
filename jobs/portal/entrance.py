"""How a customer comes to their pages: a link, a new one by mail, staying signed in."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.outbox.mail_server import mail_is_set_up
from jobs.outbox.services import job_enqueue
from jobs.people import throttle
from jobs.people.access import SignedIn
from jobs.people.addresses import address_of
from jobs.people.links import token_use, token_user
from jobs.people.open_sessions import enter, sessions_end_others
from jobs.people.selectors import customers_by_email

SESSION_S = 12 * 60 * 60
STAY_S = 400 * 24 * 60 * 60  # the longest browsers keep a cookie
ASKED = "asked for a customer's link"
ASKS = 20  # of one address in the network: a whole paddock may share it


class RenewForm(forms.Form):
    email = forms.EmailField(
        label=gettext_lazy("Your e-mail address"),
        help_text=gettext_lazy("The one your invoices come to."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )


@never_cache
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """The page of a link; its button signs in and uses the link up."""
    if request.method == "POST":
        user = token_use(token=token)
        if user is not None:
            enter(request, user)
            request.session.set_expiry(STAY_S if "stay" in request.POST else SESSION_S)
            return redirect("portal:home")
    user = token_user(token=token)
    if user is None:
        if getattr(request.user, "role", "") == "customer":
            return redirect("portal:home")
        context = {"form": RenewForm(), "mail_is_set_up": mail_is_set_up()}
        return render(request, "portal/closed.html", context, status=410)
    return render(request, "portal/open.html", {"name": user.display_name})


@never_cache
def renew(request: HttpRequest) -> HttpResponse:
    """Ask for a new link by mail. The answer is the same whether anybody has the address."""
    form = RenewForm(request.POST or None)
    context = {"form": form, "mail_is_set_up": mail_is_set_up(), "asked": False}
    if context["mail_is_set_up"] and request.method == "POST" and form.is_valid():
        email = form.cleaned_data["email"]
        try:
            throttle.take(ASKED, address_of(request), tries=ASKS)
            throttle.take(ASKED, email.casefold())
        except throttle.TooManyTries as fault:
            form.add_error(None, fault)
        else:
            found: list[int | None] = [customer.pk for customer in customers_by_email(email)]
            # Work for nobody where nobody has it: how long the answer takes tells no difference.
            for pk in found or [None]:
                job_enqueue(handler="desk.link_mail", payload={"customer": pk})
            context["asked"] = True
    status = 200 if form.is_valid() or request.method != "POST" else 422
    return render(request, "portal/renew.html", context, status=status)


@require_POST
def others_out(request: SignedIn) -> HttpResponse:
    """Sign this customer out on every other device."""
    sessions_end_others(user=request.user, but=request.session.session_key or "")
    messages.success(request, _("All your other devices have to sign in again."))
    return redirect("portal:home")
