"""Service packages with what hangs on them: their price and the checklists they ask for.

The package is the trackday's, its price billing's, its checklists the worklist's: here one
form's answer is written to all three, or to none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _

from jobs.billing.enums import PriceKind
from jobs.billing.models import PriceItem
from jobs.billing.selectors.prices import price_item_is_charged
from jobs.billing.services.prices import package_price_save
from jobs.people.enums import EditVerb, TrailEvent
from jobs.people.models import User
from jobs.people.services import edit_note
from jobs.people.trail import trail_note
from jobs.trackday.models import Entry, ServicePackage
from jobs.trackday.office import package_save
from jobs.worklist.models import Checklist
from jobs.worklist.selectors import checklists_asked_by, checklists_current, checklists_only_for
from jobs.worklist.services import package_checklists_set


@dataclass(frozen=True)
class ListedPackage:
    """One package for the list. ``price`` None: an entry of it cannot be invoiced yet."""

    package: ServicePackage
    price: Decimal | None
    entries: int
    checklists: list[str]


def packages_listed() -> list[ListedPackage]:
    """Every package, those still offered first. Five queries, however many there are."""
    counts = dict(
        Entry.objects.order_by()
        .values("package")
        .annotate(n=Count("pk"))
        .values_list("package", "n")
    )
    prices = dict(PriceItem.objects.filter(package__isnull=False).values_list("package", "price"))
    lists = list(checklists_current())
    return [
        ListedPackage(
            package=package,
            price=prices.get(package.pk),
            entries=counts.get(package.pk, 0),
            checklists=[one.name for one in checklists_asked_by(package, lists)],
        )
        for package in ServicePackage.objects.order_by("-active", "order", "name")
    ]


def entries_with(package: ServicePackage) -> int:
    return Entry.objects.filter(package=package).count()


def price_of(package: ServicePackage) -> PriceItem | None:
    return PriceItem.objects.filter(package=package.pk).first() if package.pk else None


def packages_unpriced() -> QuerySet[ServicePackage]:
    """Packages on offer without a price: an entry of one cannot be invoiced."""
    priced = PriceItem.objects.filter(package__isnull=False, price__isnull=False)
    return ServicePackage.objects.filter(active=True).exclude(pk__in=priced.values("package"))


@transaction.atomic
def package_write(
    *,
    package: ServicePackage,
    price: Decimal | None,
    checklists: Sequence[Checklist] | None,
    by: User,
) -> ServicePackage:
    """Write a package with its price and its checklists (None: those for all packages).

    Raises ValidationError by field of the form.
    """
    is_new = package._state.adding
    former = None if is_new else ServicePackage.objects.get(pk=package.pk)
    was = price_of(package)
    package_save(package=package)
    if price is not None or was is not None:
        item = package_price_save(package=package, price=price, kind=_kind(package))
        if was is None or was.price != price:
            trail_note(TrailEvent.PRICE_CHANGED, by=by, ref=item.pk)
    if checklists is not None:
        package_checklists_set(package=package, checklists=checklists)
    changes = {} if former is None else _changes(former, package)
    if (was.price if was else None) != price:
        changes["price"] = [_plain(was.price if was else None), _plain(price)]
    edit_note(
        by=by,
        verb=EditVerb.NEW if is_new else EditVerb.CHANGED,
        what=_("service package"),
        title=package.name,
        ref=package.pk,
        changes=changes,
    )
    return package


def _kind(package: ServicePackage) -> PriceKind:
    """Under which heading of the price list a package stands."""
    if package.advice_only:
        return PriceKind.ADVICE
    return PriceKind.SETUP if package.follow_ups <= 1 else PriceKind.PACKAGE


def _changes(former: ServicePackage, package: ServicePackage) -> dict[str, list[str]]:
    names = ("name", "code", "description", "follow_ups", "advice_only", "order", "active")
    pairs = {name: (getattr(former, name), getattr(package, name)) for name in names}
    return {name: [str(a), str(b)] for name, (a, b) in pairs.items() if a != b}


def _plain(price: Decimal | None) -> str:
    return "" if price is None else f"{price.normalize():f}"


@transaction.atomic
def package_drop(*, package: ServicePackage, by: User) -> bool:
    """Remove a package that nothing rests on yet, else take it off the offer.

    Returns whether it is gone; False: it is retired and stays where it was booked.
    """
    title, ref = package.name, package.pk
    price = price_of(package)
    is_gone = not (_is_booked(package) or (price is not None and price_item_is_charged(price)))
    if is_gone:
        if price is not None:
            price.delete()
        package.delete()
    else:
        package.active = False
        package_save(package=package)
    words = {} if is_gone else {"active": ["True", "False"]}
    verb = EditVerb.REMOVED if is_gone else EditVerb.CHANGED
    edit_note(by=by, verb=verb, what=_("service package"), title=title, ref=ref, changes=words)
    return is_gone


def _is_booked(package: ServicePackage) -> bool:
    """Whether an entry has it, or a checklist (an earlier version too) is for it alone.

    A checklist without packages is for all: one that lost its only package would become that.
    """
    return Entry.objects.filter(package=package).exists() or bool(checklists_only_for(package))
