"""From a quote to money in advance: acceptance, deposit request, prepayment invoice."""

from decimal import Decimal
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.trail import trail_note

from ..enums import DocumentKind
from ..models import Acceptance, Document, Payment
from ..money import apportion, exponent, to_major, to_minor
from ..selectors.prices import terms_get
from .document_writing import Draft, DraftLine, document_write, no_tax
from .drafts import cancellation_words
from .issue import document_issue


@transaction.atomic
def quote_accept(*, quote: Document, name: str, by: User | None = None) -> Acceptance:
    """A customer says yes, with a name: by a link, or ``by`` somebody of the business.

    Twice is once; an expired quote is refused in words.
    """
    if quote.kind != DocumentKind.QUOTE or quote.is_draft:
        raise ValidationError(_("This is not a quote that can be accepted."))
    if quote.due_on is not None and quote.due_on < business_today():
        raise ValidationError(
            _("This quote was valid until %(day)s. Please ask for a new one.")
            % {"day": quote.due_on}
        )
    if not name.strip():
        raise ValidationError(_("Please write your name."))
    try:
        with transaction.atomic():
            trail_note(TrailEvent.QUOTE_ACCEPTED, by=by, ref=quote.pk)
            return Acceptance.objects.create(document=quote, name=name.strip()[:120])
    except IntegrityError:
        return Acceptance.objects.get(document=quote)


@transaction.atomic
def deposit_request_issue(*, quote: Document, by: User | None) -> Document:
    """Ask for the terms' part of an accepted quote. No tax document, and it says so."""
    quote = Document.objects.select_for_update(no_key=True).get(pk=quote.pk)
    terms = terms_get()
    if not Acceptance.objects.filter(document=quote).exists():
        raise ValidationError(_("The quote is not accepted yet."))
    if quote.followers.filter(kind=DocumentKind.DEPOSIT_REQUEST).exists():
        raise ValidationError(_("A deposit for %(label)s is asked for already.") % {"label": quote})
    places = exponent(quote.currency)
    asked = to_minor(Decimal(quote.payable_minor) * terms.deposit_percent / 100, 0)
    if asked <= 0:
        raise ValidationError(_("The deposit comes to nothing: see the terms."))
    words = _("Deposit, %(percent)s %% of quote %(label)s") % {
        "percent": f"{terms.deposit_percent.normalize():f}",
        "label": quote.label,
    }
    draft = Draft(
        kind=DocumentKind.DEPOSIT_REQUEST,
        customer=quote.customer,
        lines=[
            DraftLine(
                description=words,
                price=to_major(asked, places),
                taxes=no_tax(_("A deposit request is not a tax document")),
            )
        ],
        terms=terms,
        by=by,
        trackday=quote.trackday,
        follows=quote,
        prices_include_tax=False,
        story=quote.story,
        terms_text=cancellation_words(terms),
    )
    return document_issue(document=document_write(draft), by=by)


@transaction.atomic
def prepayment_invoice_issue(*, payment: Payment, by: User | None) -> Document:
    """Type 386 for a deposit received, where the law taxes it then.

    The sum received is taken to include the taxes of the quote, in the quote's own
    proportions, so the final invoice can take it off again rate by rate.
    """
    deposit = payment.document
    if deposit is None or deposit.follows is None:
        raise ValidationError(_("This payment is for no deposit."))
    quote = deposit.follows
    groups: dict[str, int] = {}
    taxes = {}
    for line in quote.lines.all():
        key = repr(line.taxes)
        groups[key] = groups.get(key, 0) + line.quoted_minor
        taxes[key] = line.taxes
    whole = sum(groups.values())
    sums = [Fraction(payment.amount_minor * part, whole) for part in groups.values()]
    places = exponent(payment.currency)
    draft = Draft(
        kind=DocumentKind.PREPAYMENT_INVOICE,
        customer=deposit.customer,
        lines=[
            DraftLine(
                description=_("Prepayment received for %(label)s") % {"label": quote.label},
                price=to_major(part, places),
                taxes=taxes[key],
            )
            for key, part in zip(groups, apportion(payment.amount_minor, sums), strict=True)
            if part
        ],
        terms=terms_get(),
        by=by,
        trackday=deposit.trackday,
        follows=deposit,
        prices_include_tax=True,
        story=deposit.story,
        delivered_on=payment.received_on,
    )
    return document_issue(document=document_write(draft), by=by)
