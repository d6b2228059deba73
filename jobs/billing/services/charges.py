"""What a person adds to the charges that arise from the work, or says about one of them."""

import uuid
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.people.enums import TrailEvent
from jobs.people.models import User
from jobs.people.trail import trail_note
from jobs.trackday.models import Entry, Trackday
from jobs.trackday.services import entry_absence_set, revision_bump

from ..enums import PriceKind, PriceUnit
from ..models import Charge, PriceItem
from ..selectors import travel
from ..selectors.due_charges import ABSENCE, DueCharge, due_charges
from ..selectors.prices import terms_get


@transaction.atomic
def charge_add(
    *,
    entry: Entry,
    by: User,
    item: PriceItem | None = None,
    description: str = "",
    quantity: Decimal = Decimal(1),
    price: Decimal | None = None,
    charge_id: uuid.UUID | None = None,
) -> Charge:
    """Put one more thing on an entry: from the price list, or in words with a price."""
    charge_id = charge_id or uuid.uuid4()
    earlier = Charge.objects.filter(pk=charge_id).first()
    if earlier is not None:
        return earlier
    words = description.strip() or (item.name if item else "")
    if not words:
        raise ValidationError(_("Say what is charged, or choose it from the price list."))
    if not quantity:
        raise ValidationError(_("A quantity of zero charges nothing."))
    if price is not None and price < 0:
        raise ValidationError(_("A price is never below zero; take a discount instead."))
    charge = Charge.objects.create(
        id=charge_id,
        entry=entry,
        key=f"hand:{charge_id}",
        kind=item.kind if item else PriceKind.LABOUR,
        item=item,
        description=words[:200],
        quantity=quantity,
        unit=item.unit if item else PriceUnit.PIECE,
        price=price if price is not None else (item.price if item else None),
        percent=item.percent if item else None,
        tax_code=item.tax_code if item else "standard",
        by=by,
    )
    trail_note(TrailEvent.CHARGE_ADDED, by=by, ref=charge.pk)
    return charge


@transaction.atomic
def charge_overrule(
    *, entry: Entry, key: str, by: User, price: Decimal | None = None, waived_why: str = ""
) -> Charge:
    """Another price for a charge, or none at all with a reason. What is billed stays."""
    due = next((due for due in due_charges([entry_full(entry)])[entry.pk] if due.key == key), None)
    if due is None:
        raise ValidationError(_("There is no such charge any more."))
    refuse_billed(due)
    if price is None and not waived_why.strip():
        raise ValidationError(_("Give a price, or say why nothing is charged."))
    if price is not None and price < 0:
        raise ValidationError(_("A price is never below zero; take a discount instead."))
    if due.charge is not None:
        charge_end(due.charge, by)
    charge = Charge.objects.create(
        entry=entry,
        key=key,
        kind=due.kind,
        description=due.description,
        quantity=due.quantity,
        unit=due.unit,
        price=due.price if price is None else price,
        percent=due.percent if price is None else None,
        tax_code=due.tax_code,
        waived_why=waived_why.strip()[:200],
        by=by,
    )
    trail_note(TrailEvent.CHARGE_OVERRULED, by=by, ref=charge.pk)
    return charge


@transaction.atomic
def charge_withdraw(*, charge: Charge, by: User) -> None:
    """Take a hand-made charge back; an overruled one arises again from the work.

    Without the charge of a cancellation the bike is expected on the day again.
    """
    dues = due_charges([entry_full(charge.entry)])[charge.entry_id]
    due = next((due for due in dues if due.key == charge.key), None)
    if due is not None:
        refuse_billed(due)
    charge_end(charge, by)
    if charge.key == ABSENCE:
        entry_absence_set(entry=charge.entry, absence=None)
        revision_bump(trackday_id=charge.entry.trackday_id)


@transaction.atomic
def day_close_for_billing(*, trackday: Trackday, by: User) -> int:
    """Freeze the day's travel shares over those who attended. Returns how many carry one."""
    trackday = Trackday.objects.select_for_update(no_key=True).get(pk=trackday.pk)
    if trackday.closed_for_billing_at is not None:
        raise ValidationError(
            _("The day is closed for billing; further travel is charged by hand.")
        )
    item = terms_get().travel
    entries = list(trackday.entries.select_related("trackday__venue"))
    frozen = 0
    if item is not None and item.active:
        overruled = set(
            Charge.objects.filter(
                entry__in=entries, key=travel.KEY, withdrawn_at__isnull=True
            ).values_list("entry", flat=True)
        )
        rows = [
            _travel_charge(entry, item, quantity, price, by)
            for entry, quantity, price in travel.shares(entries, item)
            if entry.pk not in overruled
        ]
        frozen = len(Charge.objects.bulk_create(rows))
    Trackday.objects.filter(pk=trackday.pk).update(closed_for_billing_at=timezone.now())
    trail_note(TrailEvent.DAY_CLOSED, by=by, ref=trackday.pk)
    return frozen


def _travel_charge(
    entry: Entry, item: PriceItem, quantity: Decimal, price: Decimal, by: User
) -> Charge:
    return Charge(
        entry=entry,
        key=travel.KEY,
        kind=PriceKind.TRAVEL,
        item=item,
        description=item.name,
        quantity=quantity,
        unit=item.unit,
        price=price,
        tax_code=item.tax_code,
        by=by,
    )


def refuse_billed(due: DueCharge) -> None:
    if due.document_id is not None:
        raise ValidationError(
            _("“%(what)s” is on a document already; a credit note takes it back.")
            % {"what": due.description}
        )


def charge_end(charge: Charge, by: User) -> None:
    charge.withdrawn_at, charge.withdrawn_by = timezone.now(), by
    charge.save(update_fields=["withdrawn_at", "withdrawn_by"])
    trail_note(TrailEvent.CHARGE_WITHDRAWN, by=by, ref=charge.pk)


def entry_full(entry: Entry) -> Entry:
    return Entry.objects.select_related("package", "bike", "payer", "trackday__venue").get(
        pk=entry.pk
    )
