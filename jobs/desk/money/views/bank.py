"""The bank's file taken in, and its sums placed: the sure ones together, the others one by one."""

import hashlib
from collections import Counter
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from jobs.billing.bank_files.list_reader import BankList
from jobs.billing.bank_files.reading import statement_read
from jobs.billing.bank_files.rows import BankFileFault, BankStatement
from jobs.billing.models import BankLine, Document
from jobs.billing.selectors.bank import BankPage, bank_page
from jobs.billing.selectors.bank_matches import waiting_matched
from jobs.billing.services.bank import (
    bank_candidate_place,
    bank_file_take,
    bank_line_bring_back,
    bank_line_place,
    bank_line_set_aside,
    bank_sure_place,
)
from jobs.people.access import SignedIn
from jobs.people.models import Customer
from jobs.people.selectors import business_get
from jobs.people.typed import whole_number
from jobs.tables.services import format_remember

from ..answers import attempt, currency
from ..bank_forms import BankListForm

MOST_OFFERED = 1000  # names to choose from while one is typed; any other can be typed too


def bank(request: SignedIn) -> HttpResponse:
    """What waits, and where a file is sent to: a statement at once, a list after it was seen."""
    if request.method != "POST":
        return _shown(request, {})
    file = request.FILES.get("file")
    try:
        statement = statement_read(file.read()) if file is not None else None
        if statement is not None:
            return _taken(request, statement, file.name if file else "")
    except BankFileFault as why:
        return _shown(request, {"fault": str(why)})
    if file is not None:
        file.seek(0)
    return _list(request)


def _list(request: SignedIn) -> HttpResponse:
    form = BankListForm(request.POST, request.FILES, business=business_get())
    if not form.is_valid():
        return _shown(request, {"fault": " ".join(str(why) for why in form.errors.get("file", []))})
    file, read = request.FILES.get("file"), form.read()
    name = (file.name if file else None) or request.POST.get("name", "")
    seen = _fingerprint(read)
    if not read.faults and form.cleaned_data["seen"] == seen:
        try:
            answer = _taken(request, read.statement, name)
        except BankFileFault as why:
            return _shown(request, {"fault": str(why)})
        format_remember(kind=form.kind, matching=read.matching)
        return answer
    page: dict[str, Any] = {
        "form": form,
        "name": name,
        "read": read,
        "fingerprint": seen,
        "matching": read.matching,
        "columns_shown": form.columns_shown(read.matching),
        "columns_open": bool(read.faults or read.matching.unsure),
        "currency": currency(),
    }
    return render(request, "money/bank_list.html", page)


def _fingerprint(read: BankList) -> str:
    return hashlib.sha256(repr(read.statement.rows).encode()).hexdigest()


def _taken(request: SignedIn, statement: BankStatement, name: str | None) -> HttpResponse:
    """Raises BankFileFault; nothing is kept then."""
    taken = bank_file_take(statement=statement, name=name or "", by=request.user)
    if not taken.new:
        messages.success(request, _("Nothing new: every sum of this file is here already."))
    else:
        words = ngettext("%(n)d sum is new", "%(n)d sums are new", taken.new) % {"n": taken.new}
        if taken.known:
            words += ", " + _("%(n)d were here already") % {"n": taken.known}
        messages.success(request, f"{words}.")
    if statement.pending:
        words = ngettext(
            "%(n)d entry is not booked by the bank yet, and left out.",
            "%(n)d entries are not booked by the bank yet, and left out.",
            statement.pending,
        )
        messages.warning(request, words % {"n": statement.pending})
    own = business_get().iban.replace(" ", "")
    for account in statement.accounts:
        if own and account != own:
            words = _("This is account %(account)s; our documents name %(own)s.")
            messages.warning(request, words % {"account": account, "own": own})
    return redirect("money:bank")


def _shown(request: HttpRequest, more: dict[str, Any]) -> HttpResponse:
    page: BankPage = bank_page(request.GET.dict())
    return render(
        request,
        "money/bank.html",
        {
            "page": page,
            "turned": set(request.GET),  # lists that were turned to another page stay open
            "currency": currency(),
            "places": _places(page),
            **more,
        },
        status=422 if "fault" in more else 200,
    )


def _places(page: BankPage) -> list[str]:
    """What can be typed as a place, to choose from: customers by name, or e-mail of a namesake."""
    if not (page.sure or page.unsure):
        return []
    people = list(Customer.objects.order_by("name").values_list("name", "email")[:MOST_OFFERED])
    often = Counter(name.casefold() for name, _email in people)
    return [email if email and often[name.casefold()] > 1 else name for name, email in people]


@require_POST
def sure(request: SignedIn) -> HttpResponse:
    """All the sure sums that the page showed, each against what it showed for it."""
    shown = (one.partition("=") for one in request.POST.getlist("sure"))
    result = bank_sure_place(
        shown={whole_number(pk) or 0: key for pk, _is, key in shown}, by=request.user
    )
    count = len(result.placed)
    if count:
        words = ngettext("%(n)d payment placed.", "%(n)d payments placed.", count)
        messages.success(request, words % {"n": count})
    for why in result.left:
        messages.warning(request, _("Left to you: %(why)s.") % {"why": why})
    if not count and not result.left:
        messages.warning(request, _("These were placed already."))
    return redirect("money:bank")


@require_POST
def place(request: SignedIn, pk: int) -> HttpResponse:
    """One sum against the candidate that was tapped, or against what was typed."""
    line = get_object_or_404(BankLine, pk=pk)
    try:
        if "candidate" in request.POST:
            payment = _by_candidate(request, line)
        else:
            payment = _by_word(request, line)
    except ValidationError as error:
        for words in error.messages:
            messages.error(request, words)
        return redirect("money:bank")
    where = payment.document or payment.customer
    messages.success(request, _("Placed: %(where)s.") % {"where": where})
    if payment.received_on > line.booked_on:
        words = _("That month is closed: the payment is dated %(day)s.")
        messages.warning(request, words % {"day": date_format(payment.received_on, "j F Y")})
    return redirect("money:bank")


def _by_candidate(request: SignedIn, line: BankLine) -> Any:
    for matched in waiting_matched():
        if matched.line.pk != line.pk:
            continue
        for one in [*([matched.sure] if matched.sure else []), *matched.candidates]:
            if one.key == request.POST["candidate"]:
                return bank_candidate_place(line=line, candidate=one, by=request.user)
    raise ValidationError(_("That is no longer open: please choose again."))


def _by_word(request: SignedIn, line: BankLine) -> Any:
    """A document by its number, else a customer by name or e-mail."""
    typed = " ".join(request.POST.get("where", "").split())
    document = Document.objects.filter(label__iexact=typed).exclude(label="").first()
    if document is not None:
        return bank_line_place(line=line, by=request.user, document=document)
    called = Q(name__iexact=typed) | Q(email__iexact=typed)
    found = list(Customer.objects.filter(called)[:2]) if typed else []
    if len(found) == 1:
        return bank_line_place(line=line, by=request.user, customer=found[0])
    if found:
        raise ValidationError(
            _("There are several called %(name)s: type the e-mail, or a document's number.")
            % {"name": typed}
        )
    raise ValidationError(
        _("“%(typed)s” is no document's number and no customer's name.") % {"typed": typed}
    )


@require_POST
def aside(request: SignedIn, pk: int) -> HttpResponse:
    line = get_object_or_404(BankLine, pk=pk)
    why = request.POST.get("why", "")
    attempt(request, _("Set aside."), bank_line_set_aside, line=line, why=why, by=request.user)
    return redirect("money:bank")


@require_POST
def back(request: SignedIn, pk: int) -> HttpResponse:
    line = get_object_or_404(BankLine, pk=pk)
    attempt(request, _("It waits again."), bank_line_bring_back, line=line, by=request.user)
    return redirect("money:bank")
