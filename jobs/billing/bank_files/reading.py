"""Which kind of file a bank's file is."""

from django.utils.translation import gettext as _

from .camt_reader import camt_read
from .mt940_reader import looks_like_mt940, mt940_read
from .rows import BankFileFault, BankStatement

MOST_BYTES = 10 * 1024 * 1024
MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")


def statement_read(content: bytes) -> BankStatement | None:
    """The rows of a camt.053 or MT940 file; None: neither, perhaps a list.

    Raises BankFileFault.
    """
    if len(content) > MOST_BYTES:
        raise BankFileFault(
            _("The file is larger than %(most)d MB. Ask the bank for fewer days at a time.")
            % {"most": MOST_BYTES // 1024 // 1024}
        )
    if _is_xml(content[:200]):
        return _not_empty(camt_read(content))
    if looks_like_mt940(content):
        return _not_empty(mt940_read(content))
    return None


def _is_xml(head: bytes) -> bool:
    for mark in MARKS:
        head = head.removeprefix(mark)
    return head.replace(b"\x00", b"").lstrip().startswith(b"<")


def _not_empty(statement: BankStatement) -> BankStatement:
    if not statement.rows and not statement.pending:
        raise BankFileFault(_("This file has no entries: nothing came in or went out."))
    return statement
