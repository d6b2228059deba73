"""Two people billing the same customer at the same moment, on the database under test."""

import threading

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from jobs.billing.models import Document
from jobs.billing.services.drafts import invoice_draft

from .conftest import refreshed


@pytest.mark.django_db(transaction=True)
def test_of_two_people_billing_at_once_the_second_finds_nothing_to_charge(day, payer, tuner):
    entries = refreshed(day.entries)
    start = threading.Barrier(2)
    said: list[str] = []

    def bill() -> None:
        try:
            start.wait()
            said.append(str(invoice_draft(customer=payer, entries=entries, by=tuner)))
        except ValidationError as error:
            said.append(error.messages[0])
        finally:
            connection.close()

    people = [threading.Thread(target=bill) for _person in range(2)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert sorted(said) == ["Maren Voss has nothing left to be charged.", "draft"]
    assert Document.objects.count() == 1
