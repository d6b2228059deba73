"""Everything taken away in an open form: of one customer, or of the whole business."""

from collections.abc import Iterator
from tempfile import SpooledTemporaryFile
from typing import IO

from django.apps import apps
from django.db.models import Model, Q, QuerySet
from django.utils.translation import gettext as _

from jobs.advice import models as advice
from jobs.billing import models as billing
from jobs.files.archive import File, archive_write
from jobs.garage import models as garage
from jobs.people import models as people
from jobs.people.models import Customer
from jobs.setups import models as setups
from jobs.trackday import models as trackday
from jobs.worklist import models as worklist

IN_MEMORY_BYTES = 8 * 1024 * 1024

# What of each table is a customer's, by the paths that lead to him.
OF_CUSTOMER: dict[type[Model], tuple[str, ...]] = {
    people.Customer: ("pk",),
    people.Rider: ("customer",),
    garage.Bike: ("owner",),
    garage.Adjuster: ("bike__owner",),
    garage.Fitting: ("bike__owner",),
    trackday.Venue: ("trackdays__entries__bike__owner", "trackdays__entries__payer"),
    trackday.Trackday: ("entries__bike__owner", "entries__payer"),
    trackday.RunGroup: ("entries__bike__owner", "entries__payer"),
    trackday.Session: ("group__entries__bike__owner", "group__entries__payer"),
    trackday.Conditions: ("trackday__entries__bike__owner",),
    trackday.Entry: ("bike__owner", "payer"),
    trackday.BikeMove: ("entry__bike__owner",),
    trackday.GroupChange: ("entry__bike__owner",),
    trackday.RiderChange: ("entry__bike__owner",),
    setups.Order: ("adjuster__bike__owner",),
    setups.Adjustment: ("adjuster__bike__owner",),
    setups.Reading: ("bike__owner",),
    setups.Measurement: ("reading__bike__owner",),
    setups.Finding: ("bike__owner",),
    setups.Expectation: ("adjustment__adjuster__bike__owner",),
    setups.Judgement: ("expectation__adjustment__adjuster__bike__owner",),
    setups.KeptSetup: ("bike__owner",),
    setups.KeptPosition: ("kept__bike__owner",),
    setups.BikePhoto: ("bike__owner",),
    advice.Answered: ("entry__bike__owner",),
    advice.Overrule: ("entry__bike__owner",),
    advice.Settlement: ("bike__owner",),
    worklist.TaskMark: ("entry__bike__owner",),
    worklist.Hold: ("bike__owner",),
    billing.Document: ("customer",),
    billing.DocumentLine: ("document__customer",),
    billing.DocumentAllowance: ("document__customer",),
    billing.DocumentTax: ("document__customer",),
    billing.Acceptance: ("document__customer",),
    billing.Payment: ("customer",),
}
# Columns that open doors.
SECRETS = frozenset(
    {
        "people_user.password",
        "people_user.pin_hash",
        "people_device.secret_hash",
        "people_device.code_hash",
        "people_customer.user_id",
    }
)


def customer_takeaway(*, customer: Customer) -> IO[bytes]:
    """A zip of everything kept about one customer and his bikes, and nobody else's."""
    title = _("Everything about %(name)s and their bikes") % {"name": customer.name}
    return _written(
        title=title,
        tables=[of_customer(model, customer) for model in OF_CUSTOMER],
        files=_files(
            of_customer(setups.BikePhoto, customer),
            billing.DocumentFile.objects.filter(document__customer=customer),
        ),
        without=SECRETS,
    )


def of_customer(model: type[Model], customer: Customer) -> QuerySet:
    """The rows of one table that are this customer's; drafts of documents are not out yet."""
    paths = Q()
    for path in OF_CUSTOMER[model]:
        paths |= Q(**{path: customer.pk})
    rows = model._default_manager.filter(paths)
    if model in (billing.DocumentLine, billing.DocumentAllowance, billing.DocumentTax):
        rows = rows.exclude(document__number=None)
    if model is billing.Document:
        rows = rows.exclude(number=None)
    ids = rows.order_by().values("pk").distinct()
    return model._default_manager.filter(pk__in=ids)


def business_takeaway() -> IO[bytes]:
    """A zip of every table of this installation; secrets of sign-ins are left out."""
    ours = [m for m in apps.get_models() if m.__module__.startswith("jobs.")]
    return _written(
        title=_("Everything of this business"),
        tables=[model._default_manager.all() for model in ours],
        files=_files(setups.BikePhoto.objects.all(), billing.DocumentFile.objects.all()),
        without=SECRETS,
    )


def _written(**parts: object) -> IO[bytes]:
    to: IO[bytes] = SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 - handed on
    archive_write(to, **parts)  # type: ignore[arg-type]
    to.seek(0)
    return to


def _files(photos: QuerySet, documents: QuerySet) -> Iterator[File]:
    for row in photos.select_related("photo").iterator():
        yield File(f"photos/{row.photo_id}.jpg", row.photo.picture.read)
    for kept in documents.select_related("document").iterator():
        path = f"documents/{kept.document.label}.{kept.kind}"
        yield File(path, lambda content=kept.content: bytes(content))
