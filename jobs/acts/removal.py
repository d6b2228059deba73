"""A customer removed on request: nothing tells any more who it was.

What is emptied is what the models declare as personal (``columns.py``), in every row about
the customer (``customer_rows.py``). The machine's facts stay: positions, readings, parts,
make and model, on a bike that belongs to nobody any more. Issued documents and their files
stay as they are, because tax law has the business keep them.
"""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model, Q, QuerySet
from django.utils.translation import gettext as _

from jobs.billing import models as billing
from jobs.billing.enums import DocumentKind
from jobs.billing.models import BankLine, Document
from jobs.billing.selectors.bank import bank_lines_about
from jobs.billing.selectors.payments import document_open
from jobs.files.models import Photo
from jobs.files.services import photo_empty
from jobs.garage.models import Bike
from jobs.outbox.models import Job, Mail
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import Customer, Edit, User
from jobs.people.services import edit_note, links_withdraw
from jobs.people.trail import trail_note
from jobs.setups.models import BikePhoto, SetupSheet
from jobs.trackday.models import Entry
from jobs.trackday.services import revision_bump

from .acts_without_words import acts_about, photo_ids, words_remove
from .columns import emptied, models_of_the_project, personal_columns
from .customer_rows import CustomerRows
from .models import Act

# Documents: a draft is deleted, an issued one stays as it is with its parts and files.
DOCUMENTS: tuple[type[Model], ...] = (
    billing.Document,
    billing.DocumentLine,
    billing.DocumentAllowance,
    billing.DocumentFile,
)
# Tables that say of whom a row is in words or in JSON: each has its function below.
BY_CONTENT: tuple[type[Model], ...] = (Act, Edit, Job, Mail, Photo, BankLine)


@dataclass(frozen=True)
class Removed:
    bikes: int
    documents_kept: int


@transaction.atomic
def customer_remove(*, customer: Customer, by: User) -> Removed:
    """Remove everything that tells who a customer is.

    Raises ValidationError while they owe money: settle it, or write it off first.
    """
    about = CustomerRows(customer)
    _refuse_while_owing(about)
    acts = acts_about(about)
    _photos_remove(about, acts)
    words_remove(acts)
    _drafts(about).delete()
    _setup_sheets_remove(about)
    _bank_lines_empty(about)  # by the name and the accounts that are still told
    _mail_remove(about)  # by the addresses that the edits and the customer still tell
    _edits_empty(about)
    _sign_in_remove(about)
    for model in models_of_the_project():
        if model not in (*DOCUMENTS, *BY_CONTENT, SetupSheet):
            _rows_empty(model, about)
    for trackday_id in _trackdays(about):
        revision_bump(trackday_id=trackday_id)
    for pk in about.customers:
        edit_note(by=by, verb=EditVerb.REMOVED, what="customer", title=f"{pk}", ref=pk)
        trail_note(TrailEvent.CUSTOMER_REMOVED, by=by, ref=pk)
    bikes = Bike.objects.filter(owner__in=about.customers).count()
    return Removed(bikes, documents_kept(customer).count())


def documents_kept(customer: Customer) -> QuerySet[Document]:
    """Issued documents that say who they were: their own, and others' about their entries."""
    return _documents(CustomerRows(customer)).exclude(number=None)


def _documents(about: CustomerRows) -> QuerySet[Document]:
    found = Document.objects.filter(
        Q(customer__in=about.customers)
        | Q(lines__entry__in=about.entries)
        | Q(allowances__entry__in=about.entries)
    )
    return Document.objects.filter(pk__in=found.order_by().values("pk"))


def _drafts(about: CustomerRows) -> QuerySet[Document]:
    return _documents(about).filter(number=None)


def _refuse_while_owing(about: CustomerRows) -> None:
    own = Document.objects.filter(customer__in=about.customers)
    invoices = own.filter(kind=DocumentKind.INVOICE)
    for document in invoices.exclude(number=None):
        if document_open(document) > 0:
            raise ValidationError(
                _("%(document)s is not paid: settle it, or write it off first.")
                % {"document": document}
            )


def _rows_empty(model: type[Model], about: CustomerRows) -> None:
    rows, columns = about.rows(model), personal_columns(model)
    if rows is None or not columns:
        return
    with_words = getattr(model, "removed_words", {})
    always = {c.name: emptied(c) for c in columns if c.name not in with_words}
    for column in columns:
        if column.name in with_words:  # nothing was said there: nothing was removed
            rows.exclude(**{column.name: ""}).update(**{column.name: emptied(column)})
    if always:
        rows.update(**always)


def _photos_remove(about: CustomerRows, acts: Iterable[Act]) -> None:
    """The photos of their bikes, of those sold up to then, and those their acts came with,
    save where another bike has them."""
    own = Q(bike__owner__in=about.customers)
    theirs = BikePhoto.objects.filter(own | about.while_owned(BikePhoto))
    ids: set[uuid.UUID] = photo_ids(acts) | set(theirs.values_list("photo", flat=True))
    BikePhoto.objects.filter(moved_from__in=theirs).update(moved_from=None)
    theirs.delete()
    for photo in Photo.objects.filter(pk__in=ids).exclude(pk__in=BikePhoto.objects.values("photo")):
        photo_empty(photo=photo)


def _setup_sheets_remove(about: CustomerRows) -> None:
    """Their names and words are in the pages: a sheet cannot be emptied."""
    theirs = about.rows(SetupSheet)
    assert theirs is not None  # every sheet is of an entry
    theirs.delete()


def _bank_lines_empty(about: CustomerRows) -> None:
    columns = {c.name: emptied(c) for c in personal_columns(BankLine)}
    pks = set(bank_lines_about(about.customers).values_list("pk", flat=True))
    BankLine.objects.filter(pk__in=pks).update(**columns)


def _mail_remove(about: CustomerRows) -> None:
    """Mail to every address they had, and what the outbox said of it and of their documents."""
    to = Q()
    for address in _addresses(about):
        to |= Q(to__iexact=address)
    ids = [str(pk) for pk in Mail.objects.filter(to).values_list("pk", flat=True)] if to else []
    Job.objects.filter(payload__mail__in=ids).delete()
    Mail.objects.filter(pk__in=ids).delete()
    documents = list(_documents(about).values_list("pk", flat=True))
    said = Q(payload__document__in=documents) | Q(payload__trackday__in=_trackdays(about))
    Job.objects.filter(said).update(error="")


def _addresses(about: CustomerRows) -> set[str]:
    """The address they have, those they had before, and those their documents were sent to."""
    edits = _edits(about).values_list("title", "changes")
    buyers = Document.objects.filter(customer__in=about.customers).values_list("buyer", flat=True)
    emails = Customer.objects.filter(pk__in=about.customers).values_list("email", flat=True)
    words = [*emails, *(word for edit in edits for word in _texts(edit))]
    words += [buyer.get("email", "") for buyer in buyers]
    return {word for word in words if "@" in word and " " not in word}


def _texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [text for one in value.values() for text in _texts(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in _texts(one)]
    return [value] if isinstance(value, str) else []


def _edits_empty(about: CustomerRows) -> None:
    """What the office noted of their records; an import's note lists all who came that day."""
    _edits(about).update(title="", changes={})
    days = [str(pk) for pk in _trackdays(about)]
    Edit.objects.filter(verb=EditVerb.IMPORTED, ref__in=days).update(changes={})


def _edits(about: CustomerRows) -> QuerySet[Edit]:
    """Also those of new entries that do not say which entry it was."""
    pks = [str(pk) for pk in about.customers]
    found = Q(what__in=("customer", "link", "links"), ref__in=pks) | Q(
        what="entry", verb=EditVerb.NEW, ref=""
    )
    for model in models_of_the_project():
        rows = about.rows(model)
        if rows is None or not personal_columns(model):
            continue
        refs = [str(pk) for pk in rows.values_list("pk", flat=True)]
        found |= Q(what=str(model._meta.verbose_name), ref__in=refs)
    return Edit.objects.filter(found)


def _sign_in_remove(about: CustomerRows) -> None:
    """His links, sign-in and sessions; and from every session the messages not yet shown."""
    links_withdraw(customer=about.customer)
    users = User.objects.filter(customer__in=about.customers)
    users.update(is_active=False)
    ids = {str(pk) for pk in users.values_list("pk", flat=True)}
    for session in Session.objects.all():
        kept = session.get_decoded()
        if kept.get(SESSION_KEY) in ids:
            session.delete()
        elif kept.pop("_messages", None) is not None:
            session.session_data = Session.objects.encode(kept)
            session.save(update_fields=["session_data"])


def _trackdays(about: CustomerRows) -> list[int]:
    entries = Entry.objects.filter(pk__in=about.entries).order_by()
    return list(entries.values_list("trackday_id", flat=True).distinct())
