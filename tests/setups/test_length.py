"""Where an adjuster stands is one step into an index, however long its book is."""

import pytest
from django.db import connection

from jobs.setups.enums import RowState
from jobs.setups.ledger import ledger_end
from jobs.setups.models import Adjustment
from jobs.setups.selectors import standings_of_entry

from ..days import day_build
from .writing import count

pytestmark = pytest.mark.django_db

ROWS = 10_000


@pytest.fixture
def long_book(tuner, cast):
    entry = day_build(bikes=1).entries[0]
    row = count(tuner, entry, 14)
    Adjustment.objects.bulk_create(
        Adjustment(
            adjuster=row.adjuster,
            entry=entry,
            by=tuner,
            kind="change",
            state=RowState.PLACED,
            seq=2 + n,
            from_position=14 - n % 2,
            to_position=13 + n % 2,
            done_at=row.done_at,
        )
        for n in range(ROWS)
    )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE setups_adjustment")
    return entry, row.adjuster


def plan(queryset) -> str:
    return queryset.explain().lower()


def test_a_long_book_is_read_by_its_index(long_book, django_assert_num_queries):
    entry, adjuster = long_book
    rows = Adjustment.objects.filter(adjuster=adjuster).order_by("-seq")
    for wanted in (rows.filter(state=RowState.PLACED), rows.filter(seq__isnull=False)):
        said = plan(wanted[:1])
        assert "index" in said
        assert "sort key" not in said  # PostgreSQL
        assert "temp b-tree" not in said  # SQLite
    with django_assert_num_queries(2):
        standings = {s.adjuster.pk: s for s in standings_of_entry(entry)}
    assert (standings[adjuster.pk].arrived, standings[adjuster.pk].position) == (14, 14)
    with django_assert_num_queries(1):
        end = ledger_end(adjuster)
    assert (end.next_seq, end.placed.seq) == (ROWS + 2, ROWS + 1)
