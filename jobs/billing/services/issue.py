"""Giving a draft its number: gapless, checked by the strict rules, unchangeable afterwards."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.outbox.services import job_enqueue
from jobs.people.dates import business_today
from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.trail import trail_note

from ..business_terms import business_terms
from ..enums import DocumentKind, FileKind
from ..models import Document, Series
from ..money import exponent
from ..reference import creditor_reference
from ..selectors.prices import days_to_pay
from ..strict import broken_rules
from ..tax_units import tax_unit
from .document_writing import has_address, parties_renew
from .ledger import credit_note_allocate
from .mail import document_mail
from .months import refuse_closed
from .prepaid import prepaid_renew, prepaid_take
from .series import series_for

NEEDS_ADDRESS = frozenset({DocumentKind.INVOICE, DocumentKind.PREPAYMENT_INVOICE})


@transaction.atomic
def document_issue(
    *, document: Document, by: User | None, on: datetime.date | None = None, mail: bool = True
) -> Document:
    """Number a draft; from then on it cannot be changed. Both parties are named as they are now.

    The counter moves before anything else is locked or written, so its row lock queues
    everybody who issues in that series; a rollback puts the counter back and no number is
    lost. Files and mail follow through the outbox, outside that lock; the mail carries a
    link and waits for no file. Raises
    ValidationError, and numbers nothing, where a rule of EN 16931 would be broken.
    """
    series = series_for(document)
    Series.objects.filter(pk=series.pk).update(next=F("next") + 1)
    series.refresh_from_db()
    document = (
        Document.objects.select_for_update(of=("self",), no_key=True)
        .select_related("corrects", "follows", "customer")
        .get(pk=document.pk)
    )
    if not document.is_draft:
        raise ValidationError(_("%(label)s is issued already.") % {"label": document.label})
    parties_renew(document)
    if document.kind in NEEDS_ADDRESS and not has_address(document.buyer):
        raise ValidationError(
            _("%(name)s has no address: enter it on the customer's page, then issue.")
            % {"name": document.buyer["name"]}
        )
    deposits = prepaid_renew(document, lock=True)
    _number(document, series)
    document.issued_on = on or business_today()
    refuse_closed(
        document.issued_on,
        what=_("The %(kind)s") % {"kind": document.get_kind_display().lower()},
        instead=_("Issue it with a later date."),
    )
    document.due_on = document.issued_on + datetime.timedelta(days=days_to_pay(document.kind))
    document.issued_at = timezone.now()
    document.issued_by = by
    _refuse_unsound(document)
    document.save(
        update_fields=[
            "series", "number", "label", "reference", "issued_on", "due_on", "issued_at",
            "issued_by", "seller", "buyer", "prepaid_minor", "payable_minor",
        ]
    )  # fmt: skip
    if document.kind == DocumentKind.CREDIT_NOTE:
        credit_note_allocate(document)
    prepaid_take(document, deposits)
    for kind in FileKind.values:
        job_enqueue(
            handler="billing.file",
            payload={"document": document.pk, "kind": kind},
            key=f"billing.file {document.pk} {kind}",
        )
    if mail:
        document_mail(document=document)
    trail_note(TrailEvent.DOCUMENT_ISSUED, by=by, ref=document.pk)
    return document


def _refuse_unsound(document: Document) -> None:
    broken = broken_rules(
        business_terms(document),
        places=exponent(document.currency),
        tax_unit=tax_unit(document.currency),
    )
    if broken:
        raise ValidationError([_("This cannot be issued: %(rule)s") % {"rule": r} for r in broken])


def _number(document: Document, series: Series) -> None:
    document.series = series
    document.number = series.next - 1
    document.label = f"{series.prefix}{document.number:05d}"
    if document.kind != DocumentKind.CREDIT_NOTE:
        document.reference = creditor_reference(document.label)
