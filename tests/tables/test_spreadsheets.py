"""Spreadsheets written by other libraries (openpyxl, odfpy), and files made to harm."""

import io
import zipfile
from datetime import date, datetime, time

import openpyxl
import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from jobs.tables.rows import rows_of
from jobs.tables.spreadsheets import FileFault, sheets_of


def xlsx(**sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    return saved(book)


def saved(book):
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def ods(rows):
    """As LibreOffice writes it: repeated empty cells and rows to the sheet's end."""
    book = OpenDocumentSpreadsheet()
    table = Table(name="Liste")
    for row in rows:
        line = TableRow()
        for value in row:
            is_number = isinstance(value, float)
            cell = (
                TableCell(valuetype="float", value=str(value))
                if is_number
                else TableCell(valuetype="string")
            )
            cell.addElement(P(text=str(value)))
            line.addElement(cell)
        line.addElement(TableCell(numbercolumnsrepeated=16384 - len(row)))
        table.addElement(line)
    rest = TableRow(numberrowsrepeated=1048576 - len(rows))
    rest.addElement(TableCell(numbercolumnsrepeated=16384))
    table.addElement(rest)
    book.spreadsheet.addElement(table)
    file = io.BytesIO()
    book.write(file)
    return file.getvalue()


def cells(content):
    [sheet] = sheets_of(content)
    return [row for _line, row in rows_of(sheet.text)]


def test_cells_read_as_a_person_would_have_typed_them():
    row = [21, 71.5, "Jörg\nMüller", date(2026, 5, 31), time(9, 5), datetime(2026, 5, 31, 9, 5)]
    assert cells(xlsx(A=[row])) == [
        ["21", "71.5", "Jörg Müller", "2026-05-31", "09:05", "2026-05-31 09:05"]
    ]


def test_a_time_held_as_a_fraction_of_the_day_is_its_minute():
    book = openpyxl.Workbook()
    book.active["A1"] = 0.378472  # 09:04:59.98
    book.active["A1"].number_format = "hh:mm"
    assert cells(saved(book)) == [["09:05"]]


def test_an_opendocument_sheet_ends_where_its_rows_end():
    assert cells(ods([["Gruppe", "Nr"], ["A", 21.0]])) == [["Gruppe", "Nr"], ["A", "21"]]


def test_rows_keep_the_numbers_they_have_in_the_spreadsheet():
    [sheet] = sheets_of(xlsx(A=[["Title"], [], ["a", "b"], ["1", "2"]]))
    assert [line for line, _row in rows_of(sheet.text)] == [1, 3, 4]


def test_sheets_that_hold_something_are_given_by_name_and_hidden_ones_are_not():
    book = openpyxl.load_workbook(io.BytesIO(xlsx(One=[["a"]], Two=[["b"]], Three=[["c"]])))
    book.create_sheet("Empty")
    book["Two"].sheet_state = "hidden"
    assert [sheet.name for sheet in sheets_of(saved(book))] == ["One", "Three"]


def refused(content):
    with pytest.raises(FileFault) as why:
        sheets_of(content)
    return str(why.value)


def test_one_cell_in_the_last_row_and_column_does_not_take_the_memory():
    book = openpyxl.Workbook()
    book.active["A1"] = "a"
    book.active["XFD1048576"] = "z"
    assert "too large to be read" in refused(saved(book))


def test_a_file_that_unpacks_to_a_hundred_times_its_size_is_not_opened():
    file = io.BytesIO(xlsx(A=[["a"]]))
    with zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/bomb.xml", b"\0" * 101_000_000)
    assert len(file.getvalue()) < 1_000_000
    assert "too large when it is unpacked" in refused(file.getvalue())


def test_a_cell_repeated_a_million_times_does_not_take_the_memory():
    content = ods([["a"]])
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    members["content.xml"] = members["content.xml"].replace(
        b'number-rows-repeated="1048575"', b'number-rows-repeated="1000000000"'
    ).replace(b"<table:table-cell table:number-columns-repeated=\"16384\"/>",
              b'<table:table-cell table:number-columns-repeated="16384" office:value-type="string">'
              b"<text:p>x</text:p></table:table-cell>")  # fmt: skip
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, member in members.items():
            archive.writestr(name, member)
    refused(file.getvalue())


def test_more_rows_than_a_list_may_have_are_refused_by_name_of_the_sheet():
    assert "“Long” is larger" in refused(xlsx(Long=[["a"]] * 5001))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"PK\x03\x04 torn", "damaged"),
        (b"\xd0\xcf\x11\xe0 torn", "no spreadsheet that can be read"),
        (xlsx(A=[]), "The file is empty."),
    ],
)
def test_a_file_that_cannot_be_read_is_said_in_words(content, words):
    assert words in refused(content)
