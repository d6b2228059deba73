"""What the database itself refuses: to change an issued document, a file, a payment.

Triggers, on SQLite and PostgreSQL. SQLite drops a table's triggers when a migration remakes
the table, and a migration fails where another table's trigger names it: so all are taken
down before migrations and set up after them, each time. ``missing`` is what a system check
and a test count.
"""

from dataclasses import dataclass
from typing import Any

from django.db import connections

DOC, LINE = "billing_document", "billing_documentline"
PARTS = (LINE, "billing_documentallowance", "billing_documenttax")
APPENDED = ("billing_documentfile", "billing_acceptance", "billing_reminder")
PAYMENT_FACTS = [
    "id",
    "customer_id",
    "document_id",
    "kind",
    "method",
    "amount_minor",
    "currency",
    "received_on",
    "note",
    "by_id",
    "at",
]


@dataclass(frozen=True)
class Guard:
    """Before ``event`` on ``table``: where ``when`` holds, refuse with ``words``."""

    table: str
    event: str
    when: str
    words: str

    @property
    def name(self) -> str:
        return f"{self.table}_no_{self.event.lower()}"


def _issued(row: str) -> str:
    return f"(SELECT number FROM {DOC} WHERE id = {row}.document_id) IS NOT NULL"  # noqa: S608 - table names of ours


def _guards() -> list[Guard]:
    fixed = "an issued document is never changed: correct it with a credit note"
    guards = [
        Guard(DOC, "INSERT", "NEW.number IS NOT NULL", "a document is issued from a draft"),
        Guard(DOC, "UPDATE", "OLD.number IS NOT NULL", fixed),
        Guard(DOC, "DELETE", "OLD.number IS NOT NULL", fixed),
    ]
    for table in PARTS:
        guards += [
            Guard(table, "INSERT", _issued("NEW"), fixed),
            Guard(table, "UPDATE", f"{_issued('OLD')} OR {_issued('NEW')}", fixed),
            Guard(table, "DELETE", _issued("OLD"), fixed),
        ]
    for table in APPENDED:
        words = f"{table.removeprefix('billing_')}: added once, never changed"
        guards += [Guard(table, "UPDATE", "1 = 1", words), Guard(table, "DELETE", "1 = 1", words)]
    changed = " OR ".join(f"OLD.{column} IS DISTINCT FROM NEW.{column}" for column in PAYMENT_FACTS)
    return [
        *guards,
        Guard(
            "billing_payment",
            "UPDATE",
            f"OLD.withdrawn_at IS NOT NULL OR {changed}",
            "a payment is struck through and entered anew, never edited",
        ),
        Guard("billing_payment", "DELETE", "1 = 1", "a payment is struck through, never deleted"),
        Guard(
            "billing_series",
            "UPDATE",
            "OLD.kind IS DISTINCT FROM NEW.kind"
            " OR (NEW.next <> OLD.next AND NEW.next <> OLD.next + 1)",
            "a series counts on by one, never back",
        ),
        Guard("billing_series", "DELETE", "OLD.next > 1", "a series in use is never deleted"),
    ]


GUARDS = tuple(_guards())
TABLES = tuple(dict.fromkeys(guard.table for guard in GUARDS))


def _sqlite(guard: Guard) -> list[str]:
    when = guard.when.replace("IS DISTINCT FROM", "IS NOT")
    return [
        f"CREATE TRIGGER IF NOT EXISTS {guard.name} BEFORE {guard.event} ON {guard.table}"
        f" FOR EACH ROW WHEN {when} BEGIN SELECT RAISE(ABORT, '{guard.words}'); END"
    ]


def _postgresql(guard: Guard) -> list[str]:
    row = "OLD" if guard.event == "DELETE" else "NEW"
    return [
        f"CREATE OR REPLACE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql AS $$"
        f" BEGIN IF {guard.when} THEN RAISE EXCEPTION '{guard.words}'"
        f" USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$",
        f"CREATE OR REPLACE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table}"
        f" FOR EACH ROW EXECUTE FUNCTION {guard.name}()",
    ]


def _no_truncate(table: str) -> list[str]:
    name = f"{table}_no_truncate"
    return [
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$"
        f" BEGIN RAISE EXCEPTION '{table} is never emptied'"
        " USING ERRCODE = 'integrity_constraint_violation'; END $$",
        f"CREATE OR REPLACE TRIGGER {name} BEFORE TRUNCATE ON {table}"
        f" FOR EACH STATEMENT EXECUTE FUNCTION {name}()",
    ]


def expected(vendor: str) -> set[str]:
    names = {guard.name for guard in GUARDS}
    if vendor == "postgresql":
        names |= {f"{table}_no_truncate" for table in TABLES}
    return names


def set_up(using: str = "default", **_signal: Any) -> None:
    """Create every trigger that is not there. Safe to repeat."""
    connection = connections[using]
    existing = set(connection.introspection.table_names())
    statements: list[str] = []
    for guard in GUARDS:
        if guard.table in existing:
            make = _postgresql if connection.vendor == "postgresql" else _sqlite
            statements += make(guard)
    if connection.vendor == "postgresql":
        for table in TABLES:
            statements += _no_truncate(table) if table in existing else []
    _run(connection, statements)


def take_down(using: str = "default", **_signal: Any) -> None:
    """Drop every trigger: before migrations, and before a test database is emptied."""
    connection = connections[using]
    present = _present(connection)
    where = {guard.name: guard.table for guard in GUARDS}
    where |= {f"{table}_no_truncate": table for table in TABLES}
    on = connection.vendor == "postgresql"
    _run(
        connection,
        [
            f"DROP TRIGGER IF EXISTS {name}" + (f" ON {table}" if on else "")
            for name, table in where.items()
            if name in present
        ],
    )


def missing(using: str = "default") -> set[str]:
    """Triggers that should guard the database and do not; none before its tables are made."""
    connection = connections[using]
    if DOC not in connection.introspection.table_names():
        return set()
    return expected(connection.vendor) - _present(connection)


def tables_stand(using: str = "default") -> bool:
    """Whether there is anything to guard yet."""
    return set(TABLES) <= set(connections[using].introspection.table_names())


def _present(connection: Any) -> set[str]:
    query = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {row[0] for row in cursor.fetchall()}


def _run(connection: Any, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
