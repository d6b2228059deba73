from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.billing.selectors.reminders import letters
from jobs.billing.services.reminders import letters_written, reminders_send
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.typed import whole_number

from ..answers import currency


def reminders(request: SignedIn) -> HttpResponse:
    """All overdue invoices as letters, one a customer, read before they are sent."""
    if request.method == "POST":
        return _send(request)
    return _shown(request)


def _shown(request: HttpRequest) -> HttpResponse:
    today = business_today()
    due = letters(today)
    written = letters_written(due, today)
    found = [(letter, one.subject, one.text) for letter, one in zip(due, written, strict=True)]
    ready = [letter for letter, *_words in found if letter.to and letter.waits_until is None]
    context = {
        "letters": found,
        "ready": len(ready),
        "open_minor": sum(letter.open_minor for letter, *_words in found),
        "currency": currency(),
    }
    return render(request, "money/reminders.html", context)


def _send(request: SignedIn) -> HttpResponse:
    ticked = {whole_number(pk) or 0 for pk in request.POST.getlist("customer")}
    sent = reminders_send(customer_ids=ticked, by=request.user)
    if sent:
        words = ngettext("%(n)s reminder goes out.", "%(n)s reminders go out.", len(sent))
        messages.success(request, words % {"n": len(sent)})
    else:
        messages.error(request, _("Nothing was sent: tick a customer who can be reminded today."))
    return redirect("money:reminders")
