"""One process that issues documents and enters payments as fast as it can.

    python -m tests.billing.issuing SEED ATTEMPTS

Invoices are of no day or of the one day there is, whose crew has numbers of its own. Every
seventh act or so fails after it was done; its transaction takes it back. Payments go to
documents of the other processes too, some of them under one id from several processes at once;
they are struck through, kept as credit and used. What a service refuses is refused in words.
"""

import random
import sys
import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import django

PACE = uuid.UUID("6f3f7a52-0000-4000-8000-000000000000")


class GivenUp(Exception):
    pass


class Office:
    """A person at a desk of their own, with dice."""

    def __init__(self, seed: int) -> None:
        from jobs.people.models import Customer, User
        from jobs.trackday.models import Trackday

        self.seed = seed
        self.dice = random.Random(seed)
        self.customer = Customer.objects.get(name="Maren Voss")
        self.days = [None, Trackday.objects.get()]
        self.by = User.objects.first()

    def attempt(self, act: Callable[..., Any], *values: Any) -> None:
        from django.core.exceptions import ValidationError
        from django.db import transaction

        try:
            with transaction.atomic():
                act(*values)
                if self.dice.random() < 0.15:
                    raise GivenUp
        except (GivenUp, ValidationError):
            pass

    def work(self, attempt: int) -> None:
        draft = self.draft(f"{self.seed}/{attempt}")
        self.attempt(self.issue, draft)
        document = self.newest()
        if document is None:
            return
        self.attempt(self.pay, document, attempt)
        act = self.dice.choice([self.strike, self.keep, self.use])
        self.attempt(act, document)

    def draft(self, words: str) -> Any:
        from jobs.billing.enums import DocumentKind
        from jobs.billing.selectors.prices import component, terms_get
        from jobs.billing.services.document_writing import Draft, DraftLine, document_write

        taxes = [component("S", "23", "VAT")]
        line = DraftLine(description=words, price=Decimal("9.99"), taxes=taxes)
        return document_write(
            Draft(
                kind=DocumentKind.INVOICE,
                customer=self.customer,
                lines=[line],
                terms=terms_get(),
                trackday=self.dice.choice(self.days),
            )
        )

    def issue(self, draft: Any) -> None:
        from jobs.billing.services.issue import document_issue

        document_issue(document=draft, by=None, mail=False)

    def newest(self) -> Any:
        """One of the last few, whoever issued it."""
        from jobs.billing.models import Document

        found = list(
            Document.objects.filter(number__isnull=False).order_by("-issued_at", "-pk")[:4]
        )
        return self.dice.choice(found) if found else None

    def pay(self, document: Any, attempt: int) -> None:
        """Too little, just right or too much; or the same payment that others enter too."""
        from jobs.billing.services.payments import payment_add

        shared = self.dice.random() < 0.3
        name = f"shared/{document.pk}" if shared else f"{self.seed}/{attempt}"
        payment_add(
            payment_id=uuid.uuid5(PACE, name),
            document=document,
            amount_minor=300 if shared else self.dice.choice([100, 999, 1500]),
            by=self.by,
            note=f"{self.seed}/",
        )

    def strike(self, document: Any) -> None:
        from jobs.billing.services.payments import payment_withdraw

        payments = list(document.payments.filter(withdrawn_at__isnull=True))
        if payments:
            payment_withdraw(payment=self.dice.choice(payments), by=self.by, why="mistyped")

    def keep(self, document: Any) -> None:
        from jobs.billing.services.payments import credit_keep

        credit_keep(document=document, by=self.by)

    def use(self, document: Any) -> None:
        from jobs.billing.services.payments import credit_use

        credit_use(document=document, by=self.by)


def main(seed: int, attempts: int) -> None:
    office = Office(seed)
    for attempt in range(attempts):
        office.work(attempt)


if __name__ == "__main__":
    django.setup()
    main(int(sys.argv[1]), int(sys.argv[2]))
