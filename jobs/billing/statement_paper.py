"""A customer's statement of account as a PDF, in the customer's language."""

import datetime

from babel.dates import format_date
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import gettext as _

from jobs.paper.documents import pdf_make
from jobs.people.models import Customer
from jobs.people.selectors import business_get

from .money import Money
from .printing import STYLES
from .selectors.document_page import country_in, tax_id_words, written_locale
from .selectors.payments import StatementLine, statement
from .selectors.prices import terms_get


def statement_pdf(
    customer: Customer,
    *,
    today: datetime.date,
    since: datetime.date | None = None,
    until: datetime.date | None = None,
) -> bytes:
    """Raises jobs.paper.documents.PaperError where no PDF can be set on this machine."""
    business, terms = business_get(), terms_get()
    language = customer.language or business.language
    locale = written_locale(language, business.country)

    def day(value: datetime.date) -> str:
        return format_date(value, format="long", locale=locale)

    def money(minor: int) -> str:
        return Money(minor, business.currency).text(locale)

    def row(line: StatementLine) -> dict[str, str]:
        of = line.payment.document if line.payment else None
        return {
            "day": day(line.day),
            "what": f"{line.what} {of.label}" if of else line.what,
            "debit": money(line.debit_minor) if line.debit_minor else "",
            "credit": money(line.credit_minor) if line.credit_minor else "",
            "balance": money(line.balance_minor),
        }

    with translation.override(language):
        before, lines = statement(customer, since=since, until=until)
        rows = [row(line) for line in lines]
        if since is not None:
            first = {"day": day(since), "what": _("Balance before"), "balance": money(before)}
            rows.insert(0, first)
        last = lines[-1].balance_minor if lines else before
        owes, owed = _("Still to pay"), _("In your favour")
        context = {
            "language": language,
            "business": business,
            "customer": customer,
            "seller_country": country_in(language, business.country),
            "buyer_country": country_in(language, customer.country or business.country),
            "tax_id_words": tax_id_words(terms.scheme),
            "logo": "image:logo" if terms.logo else "",
            "day": day(today),
            "period": " – ".join(day(one) for one in (since, until) if one is not None),
            "rows": rows,
            "balance": money(abs(last)),
            "balance_words": owes if last > 0 else owed if last < 0 else _("Balanced"),
            "owes": last > 0,
            "footer": terms.footer,
        }
        html = render_to_string("billing/statement.html", context)
    images = {"logo": bytes(terms.logo)} if terms.logo else {}
    return pdf_make(html=html, stylesheets=STYLES, images=images, variant="pdf/a-3b")
