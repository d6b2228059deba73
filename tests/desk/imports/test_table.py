"""Files as spreadsheets and people really save them."""

import pytest

from jobs.desk.imports.table import table_of, text_of

KNOWN = ("group", "name", "weight_kg")


def read(text):
    return table_of(text, known=KNOWN, required=("group",))


@pytest.mark.parametrize(
    "content",
    [
        "group,name\nA,Jörg\n".encode(),
        "group,name\nA,Jörg\n".encode("utf-8-sig"),
        "group,name\r\nA,Jörg\r\n".encode("utf-16"),
        "group;name\r\nA;Jörg\r\n".encode("cp1252"),
        b"group\tname\nA\tJ\xc3\xb6rg",
        b'\n"Group", NAME \n\nA,"J\xc3\xb6rg"\n\n',
    ],
    ids=["utf-8", "byte order mark", "utf-16", "windows, semicolons", "tabs", "blank lines, case"],
)
def test_every_way_of_saving_is_taken(content):
    table = read(text_of(content))
    assert table.faults == []
    assert [row.cells for row in table.rows] == [{"group": "A", "name": "Jörg"}]


def test_lines_are_counted_as_the_spreadsheet_counts_them():
    table = read('group,name\nA,"two\nlines"\n\nB,x\n')
    assert [row.line for row in table.rows] == [3, 5]


def test_a_quoted_separator_does_not_decide_the_separator():
    table = read('"group";"name"\nA;"a,b,c"\n')
    assert table.rows[0]["name"] == "a,b,c"


@pytest.mark.parametrize(
    ("text", "column", "words"),
    [
        ("", "", "The file is empty."),
        ("group,name\n", "", "The file has a header but no rows."),
        ("name\nx\n", "group", "This column is missing."),
        ("group,nmae\nA,x\n", "nmae", "There is no column of this name."),
        ("group,group\nA,B\n", "group", "This column appears twice."),
        ("group,name\nA,x,extra\n", "", "more cells than the header"),
        ("PK\x03\x04\x00", "", "not a CSV file"),
        ("group\n" + "A\n" * 2001, "", "2001 rows are more than the 2000"),
    ],
)
def test_what_is_wrong_with_a_file_is_said(text, column, words):
    faults = read(text).faults
    assert [(f.column, words in f.words) for f in faults] == [(column, True)]
