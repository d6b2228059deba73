"""What the database itself refuses: to change an issued document, a file, a payment, the trail;
to date anything into a closed month.

Personal text beside them, in a payment's note or a reminder, may be emptied and nothing
else: a customer is removed on request.

Triggers of SQLite and of PostgreSQL. SQLite drops a table's triggers when a migration makes
the table again, and a migration fails where another table's trigger names the table. So all
of them are dropped before every migration and created after it. A system check and a test
count those that are ``missing``.
"""

from dataclasses import dataclass
from typing import Any

from django.db import connections

DOC, LINE = "billing_document", "billing_documentline"
PARTS = (LINE, "billing_documentallowance", "billing_documenttax")
PAYMENT = "billing_payment"
TRAIL = "people_trailentry"
CLOSED = "_closed"
APPENDED = (
    "billing_documentfile",
    "billing_acceptance",
    "billing_reminder",
    "billing_allocation",
)
# Per table: the columns that never change, and the personal text that may be emptied.
ACCEPTANCE = (["id", "document_id", "at"], ["name"])
REMINDER = (["id", "document_id", "open_minor", "by_id", "at"], ["text"])
BANK_LINE_FACTS = [
    "id",
    "file_id",
    "fingerprint",
    "account",
    "booked_on",
    "amount_minor",
    "currency",
    "bank_ref",
    "is_reversal",
]
BANK_LINE = (BANK_LINE_FACTS, ["payer_name", "payer_account", "text", "reference"])
PAYMENT_FACTS = [
    "id",
    "customer_id",
    "document_id",
    "kind",
    "method",
    "amount_minor",
    "currency",
    "received_on",
    "by_id",
    "at",
]


@dataclass(frozen=True)
class Trigger:
    """Before ``event`` on ``table``: where ``when`` holds, refuse with ``words``."""

    table: str
    event: str
    when: str
    words: str
    rule: str = ""  # tells two triggers of one event on one table apart

    @property
    def name(self) -> str:
        return f"{self.table}_no_{self.event.lower()}{self.rule}"


def _issued(row: str) -> str:
    return f"(SELECT number FROM {DOC} WHERE id = {row}.document_id) IS NOT NULL"  # noqa: S608 - table names of ours


def _changed(columns: list[str]) -> str:
    return " OR ".join(f"OLD.{column} IS DISTINCT FROM NEW.{column}" for column in columns)


def _more_than_emptied(facts: list[str], texts: list[str]) -> str:
    """Any update but one that leaves the facts as they are and the texts empty."""
    filled = " OR ".join(f"NEW.{column} <> ''" for column in texts)
    return f"{_changed(facts)} OR {filled}"


def _closed(day: str) -> str:
    return f"{day} <= (SELECT closed_through FROM billing_terms)"  # noqa: S608 - names of ours


def _closed_months() -> list[Trigger]:
    """Nothing new is dated into a closed month, and no payment of one is struck through."""
    shut = "the books are closed up to that day"
    struck = "OLD.withdrawn_at IS NULL AND NEW.withdrawn_at IS NOT NULL"
    return [
        Trigger(DOC, "UPDATE", f"OLD.number IS NULL AND {_closed('NEW.issued_on')}", shut, CLOSED),
        Trigger(PAYMENT, "INSERT", _closed("NEW.received_on"), shut, CLOSED),
        Trigger(PAYMENT, "UPDATE", f"{struck} AND {_closed('OLD.received_on')}", shut, CLOSED),
        Trigger("billing_allocation", "INSERT", _closed("NEW.day"), shut, CLOSED),
    ]


def _changed_but_emptied(facts: list[str], texts: list[str]) -> str:
    """An update that changes a fact, or a text to anything but nothing."""
    words = " OR ".join(f"(NEW.{column} <> '' AND {_changed([column])})" for column in texts)
    return f"{_changed(facts)} OR {words}"


def _triggers() -> list[Trigger]:
    fixed = "an issued document is never changed: correct it with a credit note"
    triggers = [
        Trigger(DOC, "INSERT", "NEW.number IS NOT NULL", "a document is issued from a draft"),
        Trigger(DOC, "UPDATE", "OLD.number IS NOT NULL", fixed),
        Trigger(DOC, "DELETE", "OLD.number IS NOT NULL", fixed),
    ]
    for table in PARTS:
        triggers += [
            Trigger(table, "INSERT", _issued("NEW"), fixed),
            Trigger(table, "UPDATE", f"{_issued('OLD')} OR {_issued('NEW')}", fixed),
            Trigger(table, "DELETE", _issued("OLD"), fixed),
        ]
    changed_when = {
        "billing_acceptance": _more_than_emptied(*ACCEPTANCE),
        "billing_reminder": _more_than_emptied(*REMINDER),
    }
    for table in APPENDED:
        words = f"{table.removeprefix('billing_')}: added once, never changed"
        when = changed_when.get(table, "1 = 1")
        triggers += [
            Trigger(table, "UPDATE", when, words),
            Trigger(table, "DELETE", "1 = 1", words),
        ]
    withdrawn = _more_than_emptied(["withdrawn_at", "withdrawn_by_id"], ["withdrawn_why"])
    return [
        *triggers,
        *_closed_months(),
        Trigger(
            PAYMENT,
            "UPDATE",
            f"(OLD.withdrawn_at IS NOT NULL AND ({withdrawn}))"
            f" OR {_changed_but_emptied(PAYMENT_FACTS, ['note'])}",
            "a payment is struck through and entered anew, never edited",
        ),
        Trigger(PAYMENT, "DELETE", "1 = 1", "a payment is struck through, never deleted"),
        Trigger(
            "billing_bankline",
            "UPDATE",
            _changed_but_emptied(*BANK_LINE),
            "what the bank says is never changed",
        ),
        Trigger("billing_bankline", "DELETE", "1 = 1", "what the bank says is never deleted"),
        Trigger(
            "billing_series",
            "UPDATE",
            f"{_changed(['kind', 'crew_id'])}"
            " OR (NEW.next <> OLD.next AND NEW.next <> OLD.next + 1)",
            "a series counts on by one, never back",
        ),
        Trigger("billing_series", "DELETE", "OLD.next > 1", "a series in use is never deleted"),
        Trigger(TRAIL, "UPDATE", "1 = 1", "the trail is only added to"),
        Trigger(TRAIL, "DELETE", "1 = 1", "the trail is only added to"),
    ]


TRIGGERS = tuple(_triggers())
TABLES = tuple(dict.fromkeys(trigger.table for trigger in TRIGGERS))


def _sqlite(trigger: Trigger) -> list[str]:
    when = trigger.when.replace("IS DISTINCT FROM", "IS NOT")
    return [
        f"CREATE TRIGGER IF NOT EXISTS {trigger.name} BEFORE {trigger.event} ON {trigger.table}"
        f" FOR EACH ROW WHEN {when} BEGIN SELECT RAISE(ABORT, '{trigger.words}'); END"
    ]


def _postgresql(trigger: Trigger) -> list[str]:
    row = "OLD" if trigger.event == "DELETE" else "NEW"
    return [
        f"CREATE OR REPLACE FUNCTION {trigger.name}() RETURNS trigger LANGUAGE plpgsql AS $$"
        f" BEGIN IF {trigger.when} THEN RAISE EXCEPTION '{trigger.words}'"
        f" USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$",
        f"CREATE OR REPLACE TRIGGER {trigger.name} BEFORE {trigger.event} ON {trigger.table}"
        f" FOR EACH ROW EXECUTE FUNCTION {trigger.name}()",
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
    names = {trigger.name for trigger in TRIGGERS}
    if vendor == "postgresql":
        names |= {f"{table}_no_truncate" for table in TABLES}
    return names


def create_all(using: str = "default", **_signal: Any) -> None:
    """Create every trigger that is not there. Safe to repeat."""
    connection = connections[using]
    existing = set(connection.introspection.table_names())
    statements: list[str] = []
    for trigger in TRIGGERS:
        if trigger.table in existing:
            make = _postgresql if connection.vendor == "postgresql" else _sqlite
            statements += make(trigger)
    if connection.vendor == "postgresql":
        for table in TABLES:
            statements += _no_truncate(table) if table in existing else []
    _run(connection, statements)


def drop_all(using: str = "default", **_signal: Any) -> None:
    """Drop every trigger: before migrations, and before a test database is emptied."""
    connection = connections[using]
    present = _present(connection)
    where = {trigger.name: trigger.table for trigger in TRIGGERS}
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
    """Triggers the database should have and has not; none before its tables are made."""
    connection = connections[using]
    if DOC not in connection.introspection.table_names():
        return set()
    return expected(connection.vendor) - _present(connection)


def tables_exist(using: str = "default") -> bool:
    """Whether the tables are there."""
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
