"""Files and texts that ``fuzz`` spoils: what each door takes, as it should be.

The statements of a bank are made by us from the published structures of ISO 20022 (camt.053)
and of SWIFT's MT940.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from jobs.tuning.knowledge import finding_write, shipped

CAMT = b"""<?xml version="1.0" encoding="UTF-8"?>
<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.08"><BkToCstmrStmt><Stmt>
<Acct><Id><IBAN>DE89370400440532013000</IBAN></Id></Acct>
<Ntry><Amt Ccy="EUR">520.00</Amt><CdtDbtInd>CRDT</CdtDbtInd><Sts><Cd>BOOK</Cd></Sts>
<BookgDt><Dt>2026-06-15</Dt></BookgDt><AcctSvcrRef>B1</AcctSvcrRef><NtryDtls><TxDtls>
<Amt Ccy="EUR">500.00</Amt><RltdPties><Dbtr><Pty><Nm>Maren Voss</Nm></Pty></Dbtr>
<DbtrAcct><Id><IBAN>DE02120300000000202051</IBAN></Id></DbtrAcct></RltdPties>
<RmtInf><Ustrd>INV-00001</Ustrd></RmtInf></TxDtls><TxDtls><Amt Ccy="EUR">20.00</Amt></TxDtls>
</NtryDtls></Ntry></Stmt></BkToCstmrStmt></Document>
"""
MT940 = b""":20:MADE-BY-US
:25:DE89370400440532013000
:28C:00001/001
:60F:C260615EUR1000,00
:61:2606150615C520,00N051NONREF//B0615-1
:86:166?00CREDIT?20SVWZ+INV-00001?31DE02120300000000202051?32MAREN VOSS
:61:2606170617D6,90N805NONREF//B0617-2
:86:805?00ACCOUNT FEE?20June
:62F:C260617EUR1513,10
-
"""
BANK_LIST = (
    b"Booking date;Name;Description;Amount;Currency\r\n"
    b"2026-06-15;Maren Voss;INV-00001;1.520,00;EUR\r\n"
    b'2026-06-17;"Bank; of ours";Fee;-6,90;EUR\r\n'
)


@dataclass(frozen=True)
class FileDoor:
    """A view that takes a file, or a text in the field of that name."""

    view: str
    name: str  # of the file as it should be called
    content: Callable[[], bytes]
    field: str = "file"
    is_of_a_day: bool = False


def _fixture(name: str) -> Callable[[], bytes]:
    return lambda: (Path(settings.BASE_DIR) / "fixtures" / name).read_bytes()


def _findings() -> bytes:
    """Two findings of the catalogue in the open form."""
    return "\n\n".join(finding_write(one) for one in list(shipped().findings.values())[:2]).encode()


LISTS = (
    FileDoor("desk:import-entries", "entries.csv", _fixture("entries.csv"), is_of_a_day=True),
    FileDoor("desk:import-timetable", "timetable.csv", _fixture("timetable.csv"), is_of_a_day=True),
    FileDoor("board:model-sheets-import", "model_sheets.json", _fixture("model_sheets.json")),
)
BANK = (
    FileDoor("money:bank", "statement.xml", lambda: CAMT),
    FileDoor("money:bank", "statement.sta", lambda: MT940),
    FileDoor("money:bank", "list.csv", lambda: BANK_LIST),
)
FINDINGS = (FileDoor("board:findings-text", "findings.toml", _findings, field="text"),)
