"""A link by which a customer shows one bike's day, until they take it back.

It ends too when the customer's links are withdrawn. Which days are theirs to show is the
caller's to know, at each opening: a bike may have been sold since.
"""

from datetime import UTC, datetime

from django.core import signing
from django.db.models import F, QuerySet

from jobs.people.models import Customer

from .models import Entry, SharedDay

SALT = "trackday.shared_day"


def shared_days_open() -> QuerySet[SharedDay]:
    """Those neither taken back nor withdrawn with the customer's other links."""
    rows = SharedDay.objects.filter(withdrawn_at=None, link_version=F("customer__link_version"))
    return rows.select_related("customer__user", "entry")


def shared_day_of(*, entry: Entry, customer: Customer) -> SharedDay | None:
    return shared_days_open().filter(entry=entry, customer=customer).first()


def shared_day_make(*, entry: Entry, customer: Customer) -> SharedDay:
    """Share a day; once shared, the same link again."""
    shared, _is_new = SharedDay.objects.get_or_create(
        entry=entry, customer=customer, link_version=customer.link_version, withdrawn_at=None
    )
    return shared


def shared_day_withdraw(*, entry: Entry, customer: Customer) -> int:
    """Take the link back; how many there were."""
    return (
        shared_days_open()
        .filter(entry=entry, customer=customer)
        .update(withdrawn_at=datetime.now(UTC))
    )


def shared_token(shared: SharedDay) -> str:
    return signing.Signer(salt=SALT).sign_object(shared.pk)


def shared_day_from(token: str) -> SharedDay | None:
    """The shared day that a link opens; None: changed, taken back or withdrawn."""
    try:
        pk = signing.Signer(salt=SALT).unsign_object(token)
    except signing.BadSignature:
        return None
    return shared_days_open().filter(pk=pk).first()
