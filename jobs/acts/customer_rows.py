"""Which rows of which table are a customer's, and which say something about them."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db.models import Model, Q, QuerySet, UUIDField

from jobs.advice import models as advice
from jobs.billing import models as billing
from jobs.garage import models as garage
from jobs.garage.ownership import Owned, times_owned
from jobs.people import models as people
from jobs.people.models import Customer
from jobs.people.selectors import same_person
from jobs.setups import models as setups
from jobs.trackday import models as trackday
from jobs.trackday.models import Entry
from jobs.trackday.ownership import Ownership
from jobs.worklist import models as worklist

from .columns import models_of_the_project

# What of each table is a customer's own, by the paths that lead to them.
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
    trackday.SharedDay: ("customer",),
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
    setups.KeptReading: ("kept__bike__owner",),
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
    billing.Allocation: ("customer",),
    billing.BankLine: ("payment__customer",),
}
# Rows that speak of a customer and are not handed out to them: their sign-in, the office's own.
ABOUT_CUSTOMER: dict[type[Model], tuple[str, ...]] = {
    people.User: ("customer",),
    people.SignInLink: ("customer",),
    people.OpenSession: ("user__customer",),
    garage.FormerOwner: ("owner",),
    setups.SetupSheet: ("entry__payer",),
    billing.Reminder: ("document__customer",),
    billing.DocumentFile: ("document__customer",),
}
# How a row that hangs on a trackday, and on no entry of it, is about those entered there.
BY_ENTRY: dict[type[Model], str] = {Entry: "pk", trackday.Delay: "trackday__entries"}


BIKE_OWNER = "bike__owner"
# When a row that is no row of the book was written: it is of whoever had the bike then.
WRITTEN_AT: dict[type[Model], str] = {garage.Fitting: "fitted_at", worklist.Hold: "raised_at"}


def _days_before_sale(one: Owned) -> Q:
    """Entries of the days before the one on which it was sold."""
    assert one.until is not None
    found = Q(bike=one.bike, trackday__date__lt=one.until.date())
    return found if one.since is None else found & Q(trackday__date__gte=one.since.date())


def rows_of_person(customer: Customer) -> list[int]:
    """The customer, and the rows in which they were found again. One query."""
    return list(same_person(customer).order_by("pk").values_list("pk", flat=True))


def of_customer(model: type[Model], customers: list[int]) -> QuerySet[Any]:
    """The rows of one table that are these customers'; drafts of documents are not out yet.

    Of a bike that was sold, each owner's rows are those of their own time.
    """
    ownership = Ownership(customers)
    found = Q()
    for path in OF_CUSTOMER[model]:
        found |= _of_owner(model, path, ownership)
    rows = model._default_manager.filter(found)
    if model in (billing.DocumentLine, billing.DocumentAllowance, billing.DocumentTax):
        rows = rows.exclude(document__number=None)
    if model is billing.Document:
        rows = rows.exclude(number=None)
    ids = rows.order_by().values("pk").distinct()
    return model._default_manager.filter(pk__in=ids)


def _of_owner(model: type[Model], path: str, ownership: Ownership) -> Q:
    """The rows that ``path`` leads to; through a bike, those of the time it was theirs."""
    if model is garage.Bike:
        return Q(pk__in=ownership.bikes().values("pk"))
    if not path.endswith("bike__owner"):
        return _any_path((path,), list(ownership.customers))
    before = path.removesuffix("bike__owner")
    bike = f"{before}bike"
    if model is Entry:
        return Q(pk__in=Entry.objects.filter(ownership.whole_days()).values("pk"))
    if before.endswith(("entry__", "entries__")):
        days = Entry.objects.filter(ownership.whole_days())
        return Q(**{f"{before.removesuffix('__')}__in": days.values("pk")})
    if issubclass(model, setups.BookRow):
        return ownership.rows(bike)
    if model in WRITTEN_AT:
        return ownership.rows(bike, WRITTEN_AT[model])
    if before:  # a part of a row of the book
        parent = before.removesuffix("__")
        book: type[Model] = getattr(model, parent).field.related_model
        return Q(**{f"{parent}__in": of_customer(book, list(ownership.customers))})
    return Q(**{f"{bike}__in": ownership.bikes()})


@dataclass
class CustomerRows:
    """Everything that is about one customer: what is theirs, and what hangs on their entries.

    An entry is theirs where they own the bike or did that day, pay for it, ride it or rode it.
    What the book says of a bike they have sold is theirs up to the moment of the sale. Found twice
    and linked, all their rows in the table of customers (``customers``) are one person.
    """

    customer: Customer
    customers: list[int] = field(init=False)
    owned: list[Owned] = field(init=False)
    entries: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.customers = rows_of_person(self.customer)
        times = times_owned(self.customers)
        self.owned = [one for one in times if one.owner in self.customers and one.until]
        riders = ("rider", "rider_changes__from_rider", "rider_changes__to_rider")
        paths = ("bike__owner", "payer", *(f"{rider}__customer" for rider in riders))
        about = _any_path(paths, self.customers)
        for one in self.owned:
            about |= _days_before_sale(one)
        found = Entry.objects.filter(about)
        self.entries = sorted(set(found.order_by().values_list("pk", flat=True)))

    def rows(self, model: type[Model]) -> QuerySet[Any] | None:
        """The rows of one table that are about them; None: no row of it is about a customer."""
        paths = (*OF_CUSTOMER.get(model, ()), *ABOUT_CUSTOMER.get(model, ()))
        found = _any_path(paths, self.customers)
        by_entry = BY_ENTRY.get(model, "entry" if _has_entry(model) else "")
        if by_entry:
            found |= Q(**{f"{by_entry}__in": self.entries})
        if not found:
            return None
        if issubclass(model, setups.BookRow):
            found |= self.while_owned(model)
            found |= Q(pk__in=_entered_elsewhere(model, found))
        ids = model._default_manager.filter(found).order_by().values("pk")
        return model._default_manager.filter(pk__in=ids)

    def while_owned(self, model: type[setups.BookRow]) -> Q:
        """The rows of the book about bikes that they have sold, written before they did."""
        (path,) = (path for path in OF_CUSTOMER[model] if path.endswith(BIKE_OWNER))
        found = Q(pk__in=())
        for one in self.owned:
            found |= one.rows(path.removesuffix("__owner"))
        return found

    def owned_then(self, bike: str, at: datetime) -> bool:
        """Whether ``bike`` (its number) is one they have sold, and was theirs at that moment."""
        return any(str(one.bike) == bike and one.holds(at) for one in self.owned)

    def ids(self) -> frozenset[str]:
        """The ids devices gave to rows about them, which acts name."""
        return frozenset(
            str(pk)
            for model in models_of_the_project()
            if isinstance(model._meta.pk, UUIDField)
            for rows in [self.rows(model)]
            if rows is not None
            for pk in rows.values_list("pk", flat=True)
        )


def _any_path(paths: tuple[str, ...], customers: list[int]) -> Q:
    found = Q()
    for path in paths:
        found |= Q(**{f"{path}__in": customers})
    return found


def _has_entry(model: type[Model]) -> bool:
    try:
        return model._meta.get_field("entry").related_model is Entry
    except FieldDoesNotExist:
        return False


def _entered_elsewhere(model: type[setups.BookRow], about: Q) -> set[Any]:
    """Rows first entered on another bike, withdrawn there and moved to theirs: the same words."""
    moved = model._default_manager.exclude(moved_from=None)
    found: set[Any] = set()
    newer = set(moved.filter(about).values_list("moved_from", flat=True))
    while newer - found:
        found |= newer
        newer = set(moved.filter(pk__in=newer).values_list("moved_from", flat=True))
    return found
