"""Model sheets: copied onto bikes, kept from bikes, carried in open files."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.garage import services
from jobs.garage.enums import End, Function, Leg
from jobs.garage.models import Bike, ModelSheet, SheetAdjuster
from jobs.garage.sheet_files import (
    sheets_from_json,
    sheets_from_list,
    sheets_to_csv,
    sheets_to_json,
)
from jobs.people.models import Customer
from jobs.tables.rows import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def bike():
    owner = Customer.objects.create(name="Ada")
    return Bike.objects.create(owner=owner, make="Corvane", model="650 R", year=2024)


@pytest.fixture
def sheet():
    sheet = ModelSheet.objects.create(
        make="Corvane", model="650 R", year=2024, rake_deg=Decimal("24.5"),
        linkage_curve=[[0, 0], [20, 9.2], [40, 18.8]], note="ring at 112 is the end",
    )  # fmt: skip
    for leg in (Leg.LEFT, Leg.RIGHT):
        SheetAdjuster.objects.create(
            sheet=sheet, end=End.FRONT, leg=leg, function=Function.REBOUND, highest=20, standard=9
        )
    SheetAdjuster.objects.create(
        sheet=sheet, end=End.REAR, function=Function.MODE, unit="label", highest=2,
        labels=["Rain", "Road", "Race"], origin="zero",
    )  # fmt: skip
    return sheet


def test_a_sheet_is_copied_and_never_linked(bike, sheet):
    made = services.bike_set_up(bike=bike, sheet=sheet)
    assert len(made) == 3
    sheet.adjusters.update(highest=5)
    assert {a.highest for a in bike.adjusters.filter(function=Function.REBOUND)} == {20}
    bike.refresh_from_db()
    assert bike.rake_deg == Decimal("24.5")


def test_two_legs_become_a_pair_and_a_single_adjuster_does_not(bike, sheet):
    services.bike_set_up(bike=bike, sheet=sheet)
    pairs = {a.pair for a in bike.adjusters.filter(end=End.FRONT)}
    assert len(pairs) == 1
    assert pairs != {None}
    assert bike.adjusters.get(end=End.REAR).pair is None


def test_what_the_bike_has_is_left_as_it_is(bike, sheet):
    services.bike_set_up(bike=bike, sheet=sheet)
    bike.adjusters.update(highest=18)
    assert services.bike_set_up(bike=bike, sheet=sheet) == []
    assert {a.highest for a in bike.adjusters.all()} == {18}


def test_this_bike_kept_as_a_sheet(bike, sheet):
    services.bike_set_up(bike=bike, sheet=sheet)
    standards = {a.pk: Decimal(7) for a in bike.adjusters.all()}
    kept = services.sheet_from_bike(bike=bike, model="650 RR", standards=standards)
    assert (kept.model, kept.year, kept.rake_deg) == ("650 RR", 2024, Decimal("24.5"))
    assert {a.standard for a in kept.adjusters.all()} == {7}


def test_a_bike_without_adjusters_is_no_sheet(bike):
    with pytest.raises(ValidationError, match="nothing to keep"):
        services.sheet_from_bike(bike=bike, standards={})


def listed(text):
    read = sheets_from_list(text)
    assert read.faults == []
    return read.sheets


@pytest.mark.parametrize("kind", ["json", "csv"])
def test_a_sheet_exported_and_imported_again_loses_nothing(sheet, kind):
    write = {"json": sheets_to_json, "csv": sheets_to_csv}[kind]
    before = sheets_to_json(ModelSheet.objects.all())
    text = write(ModelSheet.objects.all())
    ModelSheet.objects.all().delete()
    read = sheets_from_json(text.encode()) if kind == "json" else listed(text)
    assert services.sheets_import(sheets=read) == (1, 0)
    assert sheets_to_json(ModelSheet.objects.all()) == before
    assert services.sheets_import(sheets=read) == (0, 1)


def test_a_spreadsheets_own_csv_is_taken():
    """BOM, semicolons, Windows line ends, decimal commas."""
    text = (
        "\ufeffmake;model;end;function;unit;step;highest\r\n"
        "Corvane;650 R;rear;preload;turn;0,25;7,5\r\n"
    )
    [sheet] = listed(text)
    assert sheet.adjusters == [
        {
            "end": "rear", "function": "preload", "unit": "turn", "step": Decimal("0.25"),
            "highest": Decimal("7.5"),
        }
    ]  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_every_separator_and_encoding_of_a_spreadsheet_is_taken(separator, encoding):
    rows = ("Make Model END function highest", "Müller 650R rear preload 7")
    text = "\r\n\r\n".join(row.replace(" ", separator) for row in rows)
    [sheet] = listed(text_of(text.encode(encoding)))
    assert (sheet.make, sheet.adjusters[0]["highest"]) == ("Müller", Decimal(7))


def test_a_column_nobody_knows_is_listed_as_not_used():
    read = sheets_from_list("make,model,end,function,highest,lowst\nC,R,rear,rebound,9,2\n")
    assert [column.heading for column in read.matching.unused] == ["lowst"]
    assert read.sheets[0].adjusters[0]["highest"] == 9


SHEET = (
    '{"model_sheets": [{"make": "%s", "model": "%s", "adjusters": '
    '[{"end": "rear", "function": "rebound", "highest": "9"}]}]}'
)


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("a.json", "[]", "needs a list “model_sheets”"),
        ("a.json", "{", "not a JSON file"),
        ("a.json", "[" * 100_000, "not a JSON file"),
        ("a.json", SHEET % ("C\\u0000", "R"), "make has a character that cannot be kept"),
        ("a.json", SHEET % ("C", "\\ud800"), "model has a character that cannot be kept"),
        (
            "a.csv",
            f"make,model,end,function,highest\n{'C' * 61},R,rear,rebound,9\n",
            "make: Ensure",
        ),
        (
            "a.csv",
            "make,model,year,end,function,highest\nC,R,99999,rear,rebound,9\n",
            "is not a year",
        ),
        ("a.csv", "make,model,year,end,function,highest\nC,R,-1,rear,rebound,9\n", "is not a year"),
        (
            "a.csv",
            f"make,model,end,function,highest,linkage_curve\nC,R,rear,rebound,9,{'[' * 9999}\n",
            "linkage_curve needs pairs of wheel mm and shock mm",
        ),
        (
            "a.csv",
            "make,model,end,function,highest,motion_ratio\nC,R,rear,rebound,9,1e30\n",
            "motion_ratio: Ensure",
        ),
        ("a.csv", "make,model\n", "row 1, End: No column is matched to this yet."),
        ("a.csv", "make,model,end,function,highest\n", "a row of headings but no rows"),
        ("a.csv", "make,model,end,function,highest\nC,R,rear,rebound,many\n", "row 2, : highest"),
        ("a.csv", "make,model,end,function,highest\nC,R,middle,rebound,9\n", "row 2, : end"),
        ("a.csv", "make,model,end,function,highest\n,R,rear,rebound,9\n", "make and model"),
        ("a.csv", "make,model,end,function,highest\nC,R,rear,rebound,0\n", "above lowest"),
        (
            "a.csv",
            "make,model,end,function,highest,linkage_curve\nC,R,rear,rebound,9,steep\n",
            "linkage_curve needs pairs of wheel mm and shock mm",
        ),
        (
            "a.csv",
            'make,model,end,function,highest,linkage_curve\nC,R,rear,rebound,9,"[[0,0],[10,4.6]]"\n',
            "needs at least two points past zero",
        ),
    ],
)
def test_a_bad_file_names_its_fault(name, text, message):
    if name.endswith(".json"):
        with pytest.raises(ValidationError, match=message):
            sheets_from_json(text.encode())
        return
    said = [f"row {f.line}, {f.column}: {f.words}" for f in sheets_from_list(text).faults]
    assert message in " ".join(said)


def test_a_file_that_is_no_text_is_said():
    assert "This is not a list" in sheets_from_list("a\x00b").faults[0].words
    with pytest.raises(ValidationError, match="not a JSON file"):
        sheets_from_json(b"\xff\xfe\x00")


def test_a_new_tyre_takes_the_old_one_off(bike):
    from datetime import UTC, datetime

    first = _tyre(bike, datetime(2026, 6, 13, 7, tzinfo=UTC))
    second = _tyre(bike, datetime(2026, 6, 13, 12, tzinfo=UTC))
    first.refresh_from_db()
    assert first.removed_at == second.fitted_at
    assert second.removed_at is None


def test_a_tyres_range_must_be_one(bike):
    from datetime import UTC, datetime

    with pytest.raises(ValidationError, match="between 50 and 400 kPa"):
        _tyre(bike, datetime(2026, 6, 13, tzinfo=UTC), maker_range_kpa={"cold": [200, 160]})


def _tyre(bike, at, **more):
    return services.fitting_fit(
        fitting_id=uuid.uuid4(), bike=bike, kind="tyre", end="rear", name="Slick", fitted_at=at,
        **more,
    )  # fmt: skip
