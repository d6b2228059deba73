"""Everything taken away in an open form: of one customer, or of the whole business."""

from collections.abc import Iterable, Iterator
from functools import partial
from tempfile import SpooledTemporaryFile
from typing import IO, Any

from django.db.models import QuerySet
from django.db.models.fields.files import FieldFile
from django.utils.translation import gettext as _

from jobs.billing.models import DocumentFile
from jobs.files.archive import File, archive_write
from jobs.people.enums import TrailEvent
from jobs.people.models import Customer, User
from jobs.people.token_addresses import tokens_masked
from jobs.people.trail import trail_note
from jobs.setups.models import BikePhoto, SetupSheet

from .columns import database_names, models_of_the_project
from .customer_rows import OF_CUSTOMER, of_customer, rows_of_person

IN_MEMORY_BYTES = 8 * 1024 * 1024
SECRETS = database_names(models_of_the_project(), "secret_columns")
PERSONAL = database_names(models_of_the_project(), "personal_columns")


def customer_takeaway(*, customer: Customer, by: User) -> IO[bytes]:
    """A zip of everything kept about one customer and their bikes, and nobody else's.

    The trail says who took it.
    """
    trail_note(TrailEvent.EXPORTED_CUSTOMER, by=by, ref=customer.pk)
    title = _("Everything about %(name)s and their bikes") % {"name": customer.name}
    customers = rows_of_person(customer)
    return _written(
        title=title,
        tables=[of_customer(model, customers) for model in OF_CUSTOMER],
        files=_files(
            of_customer(BikePhoto, customers),
            DocumentFile.objects.filter(document__customer__in=customers),
            SetupSheet.objects.filter(entry__payer__in=customers),
        ),
    )


def business_takeaway(*, by: User) -> IO[bytes]:
    """A zip of every table of this installation; secrets of sign-ins are left out.

    The trail says who took it.
    """
    trail_note(TrailEvent.EXPORTED_ALL, by=by)
    return _written(
        title=_("Everything of this business"),
        tables=[model._default_manager.all() for model in models_of_the_project()],
        files=_files(BikePhoto.objects.all(), DocumentFile.objects.all(), SetupSheet.objects.all()),
    )


def _written(*, title: str, tables: Iterable[QuerySet[Any]], files: Iterable[File]) -> IO[bytes]:
    to: IO[bytes] = SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 - handed on
    archive_write(
        to, title=title, tables=tables, files=files,
        without=SECRETS, personal=PERSONAL, masked=tokens_masked,
    )  # fmt: skip
    to.seek(0)
    return to


def _files(
    photos: QuerySet[Any], documents: QuerySet[Any], sheets: QuerySet[Any]
) -> Iterator[File]:
    for row in photos.exclude(photo__picture="").select_related("photo").iterator():
        yield File(f"photos/{row.photo_id}.jpg", partial(_read, row.photo.picture))
    for kept in documents.select_related("document").iterator():
        path = f"documents/{kept.document.label}.{kept.kind}"
        yield File(path, lambda content=kept.content: bytes(content))
    for sheet in sheets.select_related("entry__trackday").iterator():
        day = sheet.entry.trackday.date.isoformat()
        path = f"setup-sheets/{day}-{sheet.entry_id}-{sheet.version}.pdf"
        yield File(path, lambda content=sheet.content: bytes(content))


def _read(picture: FieldFile) -> bytes:
    with picture.open() as file:
        content: bytes = file.read()
    return content
