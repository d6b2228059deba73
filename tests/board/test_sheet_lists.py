"""Model sheets taken in through their page as spreadsheets, under the headings people give them."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.garage.models import ModelSheet, SheetAdjuster
from tests.tables.test_spreadsheets import ods, xlsx

pytestmark = pytest.mark.django_db

ROWS = [
    ("Hersteller", "Modell", "Baujahr", "Ende", "Funktion", "Klicks", "Serie", "Lager"),
    ("Corvane", "650 R", 2021.0, "Front", "Rebound", 24.0, 12.0, "A4"),
    ("Corvane", "650 R", 2021.0, "rear", "compression high", 4.5, 2.25, "A4"),
    ("Tarn", "900", "", "rear", "preload", 10.0, "", ""),
]
FILES = {"list.xlsx": lambda rows: xlsx(Setup=rows), "list.ods": ods}


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def sent(browser, name, rows, **more):
    file = SimpleUploadedFile(name, FILES[name](rows))
    return browser.post(reverse("board:model-sheets-import"), {"file": file, **more})


@pytest.mark.parametrize("name", FILES)
def test_a_spreadsheet_is_matched_shown_and_taken_in(browser, name):
    page = sent(browser, name, ROWS)
    faults = [fault.column for fault in page.context["read"].faults]
    assert faults == ["End", "Function"]  # what no heading says; the rest is known
    assert page.context["columns_open"]

    columns = {shown["column"].heading: shown["name"] for shown in page.context["columns_shown"]}
    chosen = {
        shown["name"]: shown["column"].field
        for shown in page.context["columns_shown"]
        if shown["column"].field
    }
    chosen |= {columns["Ende"]: "end", columns["Funktion"]: "function"}
    carried = {"book": page.context["form"].book_json, "shown": "0:1", "header": "1", **chosen}
    page = browser.post(reverse("board:model-sheets-import"), carried)
    assert page.context["read"].faults == []
    assert not ModelSheet.objects.exists()  # shown first
    done = browser.post(
        reverse("board:model-sheets-import"), {**carried, "seen": page.context["fingerprint"]}
    )
    assert done.status_code == 302
    said = SheetAdjuster.objects.order_by("pk").values_list(
        "sheet__make", "sheet__year", "end", "function", "highest", "standard"
    )
    assert [tuple(map(str, row)) for row in said] == [
        ("Corvane", "2021", "front", "rebound", "24.000", "12.000"),
        ("Corvane", "2021", "rear", "compression_high", "4.500", "2.250"),
        ("Tarn", "0", "rear", "preload", "10.000", "None"),
    ]

    page = sent(browser, name, ROWS)  # the next list with these headings asks nothing
    assert page.context["read"].faults == []
    assert not page.context["columns_open"]


def test_cells_that_cannot_be_are_named_with_what_could_stand_there(browser):
    rows = [
        ("make", "model", "year", "end", "function", "highest"),
        ("Corvane", "650 R", "new", "front", "rebound", 24.0),
        ("Corvane", "650 R", "", "middle", "rebound", 24.0),
    ]
    page = sent(browser, "list.xlsx", rows)
    assert [(fault.line, fault.words) for fault in page.context["read"].faults] == [
        (2, "year: “new” is not a year."),
        (3, "end: “middle” is none of front, rear."),
    ]
