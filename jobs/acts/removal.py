"""A customer removed on request: whoever he was, the book no longer knows.

What makes a person out of rows goes: names, addresses, the words he said, photos, mail,
the last four of his frames, his sign-in. What stays is the work on a bike that belongs to
nobody any more, and issued documents, which tax law has the business keep.
"""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from jobs.advice.models import Overrule, Settlement
from jobs.billing.models import Document
from jobs.billing.selectors.payments import document_open
from jobs.files.services import photo_remove
from jobs.garage.models import Bike
from jobs.outbox.models import Mail
from jobs.people.enums import EditVerb
from jobs.people.models import Customer, Edit, User
from jobs.people.services import customer_update, edit_note, links_withdraw
from jobs.setups.models import BikePhoto, Finding, Judgement, Reading
from jobs.trackday.models import Entry
from jobs.worklist.models import TaskMark

from .models import Act

# Where a person's name, number or own words stand in what a device sent.
PERSONAL = frozenset({"name", "phone", "words", "said", "reason", "note", "turned_by", "email"})


@dataclass(frozen=True)
class Removed:
    bikes: int
    documents_kept: int


@transaction.atomic
def customer_remove(*, customer: Customer, by: User) -> Removed:
    """Remove everything that tells who a customer is.

    Raises ValidationError while he owes money: settle it, or write it off first.
    """
    issued = Document.objects.filter(customer=customer).exclude(number=None)
    _refuse_while_owing(issued)
    bikes = Bike.objects.filter(owner=customer)
    entries = Entry.objects.filter(Q(bike__in=bikes) | Q(payer=customer))
    _acts(entries)
    _book(bikes, entries)
    _office(customer, entries)
    _person(customer)
    Document.objects.filter(customer=customer, number=None).delete()
    edit_note(
        by=by, verb=EditVerb.REMOVED, what="customer", title=f"{customer.pk}", ref=customer.pk
    )
    return Removed(bikes.count(), issued.count())


def _refuse_while_owing(issued: QuerySet[Document]) -> None:
    for document in issued.filter(kind="invoice"):
        if document_open(document) > 0:
            raise ValidationError(
                _("%(document)s is not paid: settle it, or write it off first.")
                % {"document": document}
            )


def _acts(entries: QuerySet[Entry]) -> None:
    ids = list(entries.values_list("pk", flat=True))
    for act in Act.objects.filter(Q(payload__entry__in=ids) | Q(answer__entry__in=ids)):
        act.payload = _without_words(act.payload)
        act.answer = {**act.answer, "text": ""}
        act.save(update_fields=["payload", "answer"])


def _without_words(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: "" if k in PERSONAL else _without_words(v) for k, v in value.items()}
    return [_without_words(one) for one in value] if isinstance(value, list) else value


def _book(bikes: QuerySet[Bike], entries: QuerySet[Entry]) -> None:
    removed = _("removed")
    Finding.objects.filter(bike__in=bikes).update(words=removed)
    Judgement.objects.filter(expectation__adjustment__adjuster__bike__in=bikes).update(words="")
    Reading.objects.filter(bike__in=bikes).update(note="")
    Overrule.objects.filter(entry__in=entries).update(reason=removed)
    Settlement.objects.filter(bike__in=bikes).update(note="", weight_kg=None)
    TaskMark.objects.filter(entry__in=entries).update(words="", reason="")
    for row in BikePhoto.objects.filter(bike__in=bikes).select_related("photo"):
        row.delete()
        photo_remove(photo=row.photo)
    bikes.update(frame_last4="", note="")


def _office(customer: Customer, entries: QuerySet[Entry]) -> None:
    days = {str(pk) for pk in entries.values_list("trackday_id", flat=True)}
    Edit.objects.filter(verb=EditVerb.IMPORTED, ref__in=days).update(changes={})
    refs = Q(what__in=("customer", "link", "links"), ref=str(customer.pk))
    refs |= Q(what="rider", ref__in=[str(r.pk) for r in customer.riders.all()])
    refs |= Q(what="entry", ref__in=[str(pk) for pk in entries.values_list("pk", flat=True)])
    Edit.objects.filter(refs).update(title="", changes={})
    if customer.email:
        Mail.objects.filter(to__iexact=customer.email).delete()
    entries.update(complaint="", note="", ref="")


def _person(customer: Customer) -> None:
    links_withdraw(customer=customer)
    if customer.user is not None:
        customer.user.first_name, customer.user.is_active = "", False
        customer.user.save(update_fields=["first_name", "is_active"])
    customer.riders.update(name=_("Removed rider"), phone="", weight_in_kit_kg=None, aim="")
    empty = ("email", "phone", "street", "postcode", "city", "country", "tax_id", "note")
    customer_update(
        customer=customer,
        changes={"name": _("Removed customer"), **dict.fromkeys(empty, "")},
    )
