"""A priced business and a day to bill; every document a test issues is judged afterwards."""

import datetime
import uuid
from collections.abc import Callable, Iterator
from decimal import Decimal

import pytest

from jobs.billing.business_terms import business_terms
from jobs.billing.enums import PriceKind
from jobs.billing.models import Document, PriceItem, TaxRate, Terms
from jobs.billing.money import exponent
from jobs.billing.services.drafts import invoice_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import payment_add
from jobs.billing.strict import broken_rules
from jobs.billing.tax_units import tax_unit
from jobs.people.models import Business, Customer, User
from jobs.trackday.models import Entry, ServicePackage
from tests.days import Day, day_build

IBAN = "DE89370400440532013000"  # the IBAN registry's own example, SWIFT


@pytest.fixture
def money_business(business: Business) -> Business:
    Business.objects.filter(pk=1).update(
        street="Unit 4, Quarry Road",
        postcode="D99 X001",
        city="Ballyreen",
        country="IE",
        tax_id="IE6388047V",
        iban=IBAN,
        currency="EUR",
    )
    return Business.objects.get(pk=1)


@pytest.fixture
def prices(money_business: Business) -> Terms:
    """VAT at 23 % included in prices; package 260, extra session 35, travel 60 shared."""
    package, _ = ServicePackage.objects.get_or_create(
        code="full-day", defaults={"name": "Full day", "follow_ups": 6}
    )
    TaxRate.objects.create(
        code="standard", name="VAT", percent=Decimal(23), valid_from=datetime.date(2020, 1, 1)
    )
    TaxRate.objects.create(
        code="reduced", name="VAT", percent=Decimal("13.5"), valid_from=datetime.date(2020, 1, 1)
    )
    for code, kind, price, more in (
        ("full-day", PriceKind.PACKAGE, "260", {"package": package}),
        ("extra", PriceKind.EXTRA_SESSION, "35", {}),
        ("spring-swap", PriceKind.LABOUR, "95", {"fitting_kind": "spring"}),
        ("loyal", PriceKind.DISCOUNT, None, {"percent": Decimal(10)}),
    ):
        PriceItem.objects.create(
            code=code, name=code.replace("-", " ").capitalize(), kind=kind, price=price, **more
        )
    terms, _ = Terms.objects.update_or_create(pk=1, defaults={"prices_include_tax": True})
    return terms


@pytest.fixture
def payer(prices: Terms) -> Customer:
    return customer_make("Maren Voss")


def customer_make(name: str) -> Customer:
    return Customer.objects.create(
        name=name,
        email=f"{name.split()[0].lower()}@example.org",
        street="3 Tannery Row",
        postcode="D99 A101",
        city="Ballyreen",
        country="IE",
    )


@pytest.fixture
def day(payer: Customer) -> Day:
    return day_build(bikes=2, customers=[payer])


@pytest.fixture
def invoice(day: Day, payer: Customer, tuner: User) -> Document:
    """Two bikes at 260.00, tax included: 520.00."""
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    return document_issue(document=draft, by=tuner)


@pytest.fixture
def pay(tuner: User) -> Callable:
    def pay(document: Document, minor: int, **more):
        return payment_add(
            payment_id=uuid.uuid4(), document=document, amount_minor=minor, by=tuner, **more
        )

    return pay


def refreshed(entries: list[Entry]) -> list[Entry]:
    return list(
        Entry.objects.filter(pk__in=[e.pk for e in entries])
        .select_related("package", "bike", "rider", "payer", "group", "trackday__venue")
        .order_by("pk")
    )


@pytest.fixture(autouse=True)
def every_document_is_judged(request: pytest.FixtureRequest) -> Iterator[None]:
    """The strict rules, recomputed on whatever the test issued."""
    database = {"db", "transactional_db"} & set(request.fixturenames)
    if database:
        request.getfixturevalue("transactional_db" if len(database) == 2 else database.pop())
    if "played" in request.fixturenames:  # its database is gone once that fixture has ended
        request.getfixturevalue("played")
    yield
    if not {"db", "transactional_db"} & set(request.fixturenames):
        return
    for document in Document.objects.filter(number__isnull=False):
        how = {"places": exponent(document.currency), "tax_unit": tax_unit(document.currency)}
        assert broken_rules(business_terms(document), **how) == []
