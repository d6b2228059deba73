"""One process that issues documents as fast as it can, giving some of them up half-way.

    python -m tests.billing.issuing SEED ATTEMPTS

Every seventh attempt or so fails after the number was taken; the transaction takes it back.
"""

import random
import sys
from decimal import Decimal

import django


class GivenUp(Exception):
    pass


def main(seed: int, attempts: int) -> None:
    from django.db import transaction

    from jobs.billing.enums import DocumentKind
    from jobs.billing.selectors.prices import component, terms_get
    from jobs.billing.services.document_writing import Draft, DraftLine, document_write
    from jobs.billing.services.issue import document_issue
    from jobs.people.models import Customer

    dice = random.Random(seed)
    customer = Customer.objects.get()
    taxes = [component("S", "23", "VAT")]
    for attempt in range(attempts):
        line = DraftLine(description=f"{seed}/{attempt}", price=Decimal("9.99"), taxes=taxes)
        draft = document_write(
            Draft(kind=DocumentKind.INVOICE, customer=customer, lines=[line], terms=terms_get())
        )
        try:
            with transaction.atomic():
                document_issue(document=draft, by=None, mail=False)
                if dice.random() < 0.15:
                    raise GivenUp
        except GivenUp:
            pass


if __name__ == "__main__":
    django.setup()
    main(int(sys.argv[1]), int(sys.argv[2]))
