"""The whole file, its parts in the order of the structure."""

import datetime
from xml.etree.ElementTree import Element, tostring

from jobs.people.selectors import business_get

from ..selectors.journal import account_numbers, journal, payments_of
from ..selectors.takings import documents_of
from .books import Books
from .header import header
from .invoices import source_documents
from .ledger import ledger_entries
from .master import master_files

NAMESPACE = "urn:OECD:StandardAuditFile-Taxation/2.00"


def saft_xml(since: datetime.date, until: datetime.date) -> bytes:
    """Documents, payments and journal from one day to another, both included."""
    first = datetime.date.min
    books = Books(
        since=since,
        until=until,
        business=business_get(),
        accounts=account_numbers(),
        before=journal(first, since - datetime.timedelta(days=1)) if since > first else [],
        lines=journal(since, until),
        documents=list(documents_of(since, until)),
        payments=list(payments_of(since, until)),
    )
    root = Element("AuditFile", {"xmlns": NAMESPACE})
    root.append(header(books))
    root.append(master_files(books))
    root.append(ledger_entries(books))
    root.append(source_documents(books))
    written: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return written
