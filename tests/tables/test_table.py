"""Files as spreadsheets and people really save them."""

import pytest

from jobs.tables.matching import Choice, ListField
from jobs.tables.rows import text_of
from jobs.tables.table import table_of

FIELDS = (
    ListField("group", "Run group", ("gruppe",), required=True),
    ListField("name", "Rider", ("fahrer",)),
    ListField("weight_kg", "Weight"),
    ListField("email", "E-mail", ("e mail",), looks=r"\S+@\S+\.\S+"),
)


def read(text, **more):
    return table_of(text, fields=FIELDS, **more)


@pytest.mark.parametrize(
    "content",
    [
        "group,name\nA,Jörg\n".encode(),
        "group,name\nA,Jörg\n".encode("utf-8-sig"),
        "group,name\r\nA,Jörg\r\n".encode("utf-16"),
        "group;name\r\nA;Jörg\r\n".encode("cp1252"),
        b"group\tname\nA\tJ\xc3\xb6rg",
        b'\n"Group", NAME \n\nA,"J\xc3\xb6rg"\n\n',
        b"sep=;\r\ngroup;name\r\nA;J\xc3\xb6rg\r\n",
        b'"sep=,"\n"group","name"\n"A","J\xc3\xb6rg"\n',
    ],
    ids=[
        "utf-8",
        "byte order mark",
        "utf-16",
        "windows, semicolons",
        "tabs",
        "blank lines, case",
        "Excel's sep line",
        "a quoted sep line",
    ],
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
        ("group,name\n", "", "a row of headings but no rows"),
        ("name\nx\n", "Run group", "No column is matched to this yet."),
        ("group,group\nA,B\n", "group", "Two columns are for the same"),
        ("group,name\nA,x,extra\n", "", "more cells than there are headings"),
        ("group\x00", "", "This is not a list"),
        ("group" + "," * 200 + "\nA\n", "", "more than 200 cells"),
        ("group\n" + "A\n" * 2001, "", "2001 rows are more than the 2000"),
    ],
)
def test_what_is_wrong_with_a_file_is_said(text, column, words):
    faults = read(text).faults
    assert [(f.column, words in f.words) for f in faults] == [(column, True)]


def test_a_quotation_mark_that_is_not_closed_is_said_with_its_line():
    table = read('group,name\nA,x\nB,"' + "y\n" * 70_000)
    assert [(fault.line, fault.words) for fault in table.faults] == [
        (3, "A quotation mark is opened here and not closed.")
    ]


def matched(table):
    return {column.heading: (column.field, column.how) for column in table.matching.columns}


def test_columns_are_matched_by_heading_in_any_language_and_others_are_listed():
    table = read("Fahrer *;T-Shirt;GRUPPE (A-D)\nJörg;XL;A\n")
    assert matched(table) == {
        "Fahrer *": ("name", "name"), "T-Shirt": ("", ""), "GRUPPE (A-D)": ("group", "name"),
    }  # fmt: skip
    assert [column.heading for column in table.matching.unused] == ["T-Shirt"]
    assert table.rows[0].cells == {"name": "Jörg", "group": "A"}


def test_a_column_is_known_by_its_cells_only_if_no_other_looks_alike():
    one = read("gruppe;Kontakt\nA;a@example.org\nB;b@example.org\n")
    assert matched(one)["Kontakt"] == ("email", "cells")
    two = read("gruppe;Kontakt;Notfall\nA;a@example.org;c@example.org\n")
    assert matched(two)["Kontakt"] == matched(two)["Notfall"] == ("", "")


def test_part_of_a_heading_is_no_guess():
    """The phone of somebody to call in an emergency is not the rider's."""
    assert matched(read("group,emergency name\nA,x\n"))["emergency name"] == ("", "")


def test_a_title_above_the_headings_is_passed_over_and_rows_keep_their_numbers():
    table = read("Entries of 13 June\n\ngruppe;fahrer\nA;Jörg\n")
    assert (table.matching.header_line, table.rows[0].line) == (3, 4)


def test_what_is_chosen_stands_before_every_guess():
    text = "gruppe;fahrer;x\nA;Jörg;B\n"
    table = read(text, choice=Choice(1, {2: "group", 0: "name"}))
    assert table.rows[0].cells == {"group": "B", "name": "A"}
    twice = read(text, choice=Choice(1, {0: "group", 2: "group"}))
    assert [(f.column, f.words) for f in twice.faults] == [
        ("x", "Two columns are for the same: choose one.")
    ]


def test_a_row_of_a_text_with_commas_does_not_decide_the_separator():
    table = read("group;name\nA;wide, slow, late\nB;x\n")
    assert table.rows[0]["name"] == "wide, slow, late"
