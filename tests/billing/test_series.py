"""How the numbers of documents begin."""

import pytest
from django.core.exceptions import ValidationError

from jobs.billing.enums import DocumentKind
from jobs.billing.models import Series
from jobs.billing.services.series import series_all, series_begin, series_of

pytestmark = pytest.mark.django_db
INVOICE = DocumentKind.INVOICE


def refused(field: str, **values) -> str:
    with pytest.raises(ValidationError) as caught:
        series_begin(**values)
    return caught.value.message_dict[field][0]


def test_a_business_continues_with_the_number_after_its_last_one():
    series_begin(kind=INVOICE, letters=" 2026/R-", first=148)
    series = series_of(INVOICE)
    assert (series.prefix, series.next) == ("2026/R-", 148)


def test_a_series_that_counts_takes_other_letters_but_no_other_number():
    series_of(INVOICE)
    assert series_begin(kind=INVOICE, letters="RE-").prefix == "RE-"
    told = refused("first", kind=INVOICE, letters="RE-", first=7)
    assert told == "Invoice: numbers are counting already; the next one is 1."
    assert series_of(INVOICE).next == 1


@pytest.mark.parametrize(
    ("prefix", "why"),
    [
        ("", "a letter or a digit first"),
        ("-R", "a letter or a digit first"),
        ("Ü-", "a letter or a digit first"),
        ("R" * 13, "at most 12"),
        ("R-2026", "ends in a digit"),
        ("Q-", "taken for a number of another kind: Quote"),
        ("q/", "taken for a number of another kind: Quote"),
        ("C1-", "taken for a number of another kind: Credit note"),
    ],
)
def test_letters_that_would_mislead_are_refused(prefix, why):
    assert why in refused("letters", kind=INVOICE, letters=prefix)
    assert not Series.objects.exists()


def test_letters_another_kind_was_once_printed_with_are_never_given_again(invoice):
    series_begin(kind=INVOICE, letters="RE-")
    told = refused("letters", kind=DocumentKind.QUOTE, letters="INV-")
    assert told.endswith("another kind: Invoice.")


def test_all_kinds_are_listed_and_listing_creates_no_series():
    assert [series.kind for series in series_all()] == list(DocumentKind)
    assert not Series.objects.exists()
