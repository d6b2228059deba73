"""The priced business of tests/billing, and browsers of those who work here."""

import pytest
from django.test import Client

from tests.billing.conftest import (
    day,
    every_document_is_judged,
    invoice,
    money_business,
    pay,
    payer,
    prices,
)

__all__ = [
    "day",
    "every_document_is_judged",
    "invoice",
    "money_business",
    "pay",
    "payer",
    "prices",
]


@pytest.fixture
def desk(tuner, signed_in) -> Client:
    return signed_in(tuner)
