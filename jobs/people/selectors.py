"""Reads about the business and its people."""

from django.db.models import Q, QuerySet

from .models import Business, Customer, OwnBand, User


def business_get() -> Business:
    """The business of this installation; an unsaved one with the defaults where none is kept."""
    return Business.objects.filter(pk=1).first() or Business()


def business_title(business: Business) -> str:
    """The business's name for the head of a page or a mail, until it is entered the program's."""
    return business.name or "Paddock"


def same_person(customer: Customer) -> QuerySet[Customer]:
    """Every row of this person, this one among them: more than one where they were found twice."""
    first = customer.same_as_id or customer.pk
    return Customer.objects.filter(Q(pk=first) | Q(same_as=first))


def customers_by_email(email: str) -> list[Customer]:
    """Who has this address; of a person found twice one row, as it opens both. One query."""
    found: dict[int, Customer] = {}
    for customer in Customer.objects.filter(email__iexact=email.strip()).order_by("pk"):
        found.setdefault(customer.same_as_id or customer.pk, customer)
    return list(found.values())


def customers_of_user(user: User) -> QuerySet[Customer]:
    """The rows of the customer who signed in. For use as a subquery: ``owner__in=...``."""
    paths = ("user", "same_as__user", "found_again__user", "same_as__found_again__user")
    found = Q()
    for path in paths:
        found |= Q(**{path: user})
    return Customer.objects.filter(found).order_by()


def perhaps_same(customer: Customer, *, words: str = "") -> QuerySet[Customer]:
    """Others who may be the same person: by ``words`` in name, e-mail or phone, else those
    with this one's name, e-mail or phone."""
    others = Customer.objects.exclude(pk__in=same_person(customer).order_by().values("pk"))
    if words:
        for word in words.split():
            others = others.filter(
                Q(name__icontains=word) | Q(email__icontains=word) | Q(phone__icontains=word)
            )
        return others
    alike = Q(name__iexact=customer.name)
    if customer.email:
        alike |= Q(email__iexact=customer.email)
    if customer.phone:
        alike |= Q(phone=customer.phone)
    return others.filter(alike)


def own_bands(business: Business) -> dict[str, tuple[float, float]]:
    """The business's own figures by key of ``jobs.tuning.practice``: (low, high). One query.

    The pace that reopens a setup is a way of working of the business.
    """
    bands = {band.key: (float(band.low), float(band.high)) for band in OwnBand.objects.all()}
    trigger = float(business.pace_trigger_s)
    bands["pace_trigger"] = (trigger, trigger)
    return bands
