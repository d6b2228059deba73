import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.billing.bundle import documents_zip
from jobs.billing.saft import saft_xml
from jobs.billing.selectors.journal import journal_csv
from jobs.billing.selectors.months import closed_month, months_to_close
from jobs.billing.selectors.prices import terms_get
from jobs.billing.selectors.takings import MONEY_METHODS, day_takings, tax_report, year_takings
from jobs.billing.services.months import month_close, month_open
from jobs.people.access import SignedIn
from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.trail import trail_note

from ..answers import attachment, attempt, currency, day_from


def takings(request: HttpRequest) -> HttpResponse:
    """One day's payments, and the year by month and method."""
    day = day_from(request.GET.get("day", ""), business_today())
    taken, payments = day_takings(day)
    months = year_takings(day.year)
    columns = [sum(month.cells[i] for month in months) for i in range(len(MONEY_METHODS))]
    return render(
        request,
        "money/takings.html",
        {
            "day": day,
            "taken": taken,
            "payments": payments,
            "months": [
                (datetime.date(day.year, int(month.when), 1), month)  # type: ignore[arg-type]
                for month in months
            ],
            "columns": columns,
            "year_total": sum(columns),
            "methods": [method.label for method in MONEY_METHODS],
            "currency": currency(),
        },
    )


def _period(request: HttpRequest) -> tuple[datetime.date, datetime.date]:
    """From and to; by default the quarter that is running."""
    now = business_today()
    first = datetime.date(now.year, (now.month - 1) // 3 * 3 + 1, 1)
    since = day_from(request.GET.get("since", ""), first)
    until = day_from(request.GET.get("until", ""), now)
    return since, max(since, until)


def tax(request: HttpRequest) -> HttpResponse:
    """Tax per rate for a period, and the accountant's files of it."""
    since, until = _period(request)
    rows = tax_report(since, until)
    return render(
        request,
        "money/tax.html",
        {
            "since": since,
            "until": until,
            "rows": rows,
            "tax_total": sum(row.tax_minor for row in rows),
            "currency": currency(),
            "accounts_known": all(terms_get().accounts.values()),
            "closed_month": closed_month(),
            "months": months_to_close(),
        },
    )


@require_POST
def close_month(request: SignedIn) -> HttpResponse:
    try:
        month = datetime.date.fromisoformat(f"{request.POST.get('month', '')}-01")
    except ValueError:
        messages.error(request, _("Choose the month to close."))
        return redirect("money:tax")
    done = _("The books are closed to the end of %(month)s.") % {"month": date_format(month, "F Y")}
    attempt(request, done, month_close, month=month, by=request.user)
    return redirect("money:tax")


@require_POST
def open_month(request: SignedIn) -> HttpResponse:
    first = attempt(request, "", month_open, by=request.user)
    if first is not None:
        done = _("%(month)s is open again.") % {"month": date_format(first, "F Y")}
        messages.success(request, done)
    return redirect("money:tax")


def journal_file(request: SignedIn) -> HttpResponse:
    since, until = _period(request)
    trail_note(TrailEvent.EXPORTED_BOOKS, by=request.user)
    content = journal_csv(since, until).encode("utf-8")
    name = f"journal-{since}-{until}.csv"
    return attachment(content, name=name, kind="text/csv; charset=utf-8; header=present")


def saft_file(request: SignedIn) -> HttpResponse:
    since, until = _period(request)
    trail_note(TrailEvent.EXPORTED_BOOKS, by=request.user)
    name = f"saf-t-{since}-{until}.xml"
    return attachment(saft_xml(since, until), name=name, kind="application/xml")


def bundle(request: SignedIn) -> HttpResponse:
    since, until = _period(request)
    trail_note(TrailEvent.EXPORTED_BOOKS, by=request.user)
    return attachment(
        documents_zip(since, until),
        name=f"documents-{since}-{until}.zip",
        kind="application/zip",
    )
