"""Which entry, customer, rider and bike a row means: never by the start number alone."""

from django.utils.translation import gettext as _

from jobs.people.models import Customer
from jobs.trackday.models import Entry

from .columns import UnreadableError
from .entries import EntryRow
from .known import KnownRecords, bike_of, plain


def entry_meant(known: KnownRecords, row: EntryRow) -> Entry | None:
    """The day's entry this row is about: by ref, by e-mail and frame, by name, number, group."""
    if row.ref and row.ref in known.by_ref:
        return known.by_ref[row.ref]
    candidates = known.by_frame.get((row.email, row.frame), []) if row.email and row.frame else []
    candidates = [entry for entry in candidates if not _contradicts(entry, row)]
    if not candidates:
        key = plain(row.name, row.number, row.group)
        candidates = [e for e in known.by_plain.get(key, []) if not _contradicts(e, row)]
    if len(candidates) > 1:
        raise UnreadableError(
            _("%(n)d entries of this day could be meant: give the row a ref, or its frame.")
            % {"n": len(candidates)}
        )
    return candidates[0] if candidates else None


def _contradicts(entry: Entry, row: EntryRow) -> bool:
    pairs = (
        (entry.ref, row.ref),
        (entry.bike.owner.email.lower(), row.email),
        (entry.bike.frame_last4, row.frame),
    )
    return any(has and says and has != says for has, says in pairs)


def owner_meant(known: KnownRecords, row: EntryRow) -> Customer | None:
    """The customer a new row's bike belongs to.

    An e-mail is who somebody is. Without one, a name alone is too little to open a
    person's history: the phone, or a bike of theirs, must agree as well.
    """
    if row.email:
        return known.by_email.get(row.email)
    for customer in known.by_name.get(plain(row.owner_name), []):
        same_phone = bool(row.phone) and plain(customer.phone) == plain(row.phone)
        if same_phone or bike_of(customer, row) is not None:
            return customer
    return None


def payer_meant(known: KnownRecords, row: EntryRow) -> Customer | None:
    """Who pays, where the file names somebody who is known."""
    if row.payer_email:
        return known.by_email.get(row.payer_email)
    named = known.by_name.get(plain(row.payer), []) if row.payer else []
    return named[0] if len(named) == 1 else None


def payer_named(row: EntryRow) -> bool:
    """Whether the file names a payer who is not simply the owner."""
    if row.payer_email:
        return row.payer_email != row.email
    return bool(row.payer) and plain(row.payer) != plain(row.owner_name)


def new_owner_key(row: EntryRow) -> tuple[str, ...]:
    """Rows of one file with the same key get one new customer between them."""
    if row.email:
        return ("email", row.email)
    if row.phone:
        return ("name and phone", *plain(row.owner_name, row.phone))
    return ("line", str(row.line))
