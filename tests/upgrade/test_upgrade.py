"""Databases of earlier versions become databases of this one, and lose nothing.

Each ``demo-*.sqlite3.xz`` is the demo at its evening, as that day's version wrote it.
"""

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.places import Place, empty_place

from .earlier import unpack

HERE = Path(__file__).parent
KEPT = sorted(HERE.glob("demo-*.sqlite3.xz"))

pytestmark = pytest.mark.django_db


# What must be the same to the last figure: numbered documents, payments, positions of the book.
QUERIES = {
    "documents": "SELECT id, number, net_minor, tax_minor, gross_minor FROM billing_document"
    " ORDER BY id",
    "payments": "SELECT customer_id, document_id, amount_minor FROM billing_payment"
    " ORDER BY customer_id, document_id, amount_minor",
    "positions": "SELECT adjuster_id, seq, CAST(to_position * 1000 AS INTEGER)"
    " FROM setups_adjustment WHERE seq IS NOT NULL ORDER BY adjuster_id, seq",
}
# What was open on each invoice: from payments and credit notes then, from the ledger now.
OPEN = (
    "SELECT id, {figure} FROM billing_document d"
    " WHERE kind IN ('invoice', 'prepayment') AND number IS NOT NULL ORDER BY id"
)
CREDITED = (
    "COALESCE((SELECT sum(c.gross_minor + c.rounding_minor) FROM billing_document c"
    " WHERE c.corrects_id = d.id AND c.number IS NOT NULL), 0)"
)
PAID = (
    "COALESCE((SELECT sum(CASE kind WHEN 'refund' THEN -amount_minor ELSE amount_minor END)"
    " FROM billing_payment p WHERE p.document_id = d.id AND p.withdrawn_at IS NULL), 0)"
)
ALLOCATED = (
    "COALESCE((SELECT sum(amount_minor) FROM billing_allocation a WHERE a.document_id = d.id), 0)"
)
OPEN_THEN = OPEN.format(figure=f"payable_minor - {PAID} - {CREDITED}")
OPEN_NOW = OPEN.format(figure=f"gross_minor + rounding_minor - {ALLOCATED}")
FACTS = f"""
import json
from django.db import connection
found = {{}}
for name, query in {(QUERIES | {"open": OPEN_NOW})!r}.items():
    with connection.cursor() as cursor:
        cursor.execute(query)
        found[name] = [" ".join(map(str, row)) for row in cursor.fetchall()]
print(json.dumps(found))
"""


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    with empty_place(tmp_path) as found:
        yield found


def then(kept: Path, folder: Path) -> tuple[dict[str, int], dict[str, list[str]]]:
    """How many rows each table had, of those that are not Django's own; and the same facts."""
    file = folder / "then.sqlite3"
    unpack(kept, file)
    kept_rows = sqlite3.connect(file)
    names = kept_rows.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    own = [n for (n,) in names if not n.startswith(("sqlite_", "django_", "auth_"))]
    counts = {n: kept_rows.execute(f'SELECT count(*) FROM "{n}"').fetchone()[0] for n in own}
    facts = {
        name: [" ".join(map(str, row)) for row in kept_rows.execute(query)]
        for name, query in (QUERIES | {"open": OPEN_THEN}).items()
    }
    kept_rows.close()
    return counts, facts


@pytest.mark.slow
@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.stem)
def test_a_database_of_an_earlier_version_migrates_and_every_page_opens(kept, place, tmp_path):
    place.run("-m", "tests.upgrade.earlier", str(kept))
    said = place.run("manage.py", "setup")
    assert "The database is of an earlier version" in said
    assert said.splitlines()[-1] == "Ready."
    again = place.run("manage.py", "setup")
    assert "earlier version" not in again
    assert "collected ..." not in again
    place.run("manage.py", "check", "--database", "default")

    (before, facts), after = then(kept, tmp_path), place.counts()
    lost = {
        table: (rows, after.get(table))
        for table, rows in before.items()
        if rows and rows > after.get(table, 0)
    }
    assert lost == {}
    assert place.python(FACTS) == facts
    assert len(facts["positions"]) > 500
    assert len(facts["open"]) > 3

    pages = json.loads(place.run("-m", "tests.upgrade.pages", ALLOWED_HOSTS="testserver"))
    assert len(pages) > 60
