"""An entries file: previewed against the day, written all or nothing, known again next time."""

from decimal import Decimal

import pytest
from django.db import IntegrityError
from django.urls import reverse

from jobs.desk.imports.entry_import import entries_write
from jobs.desk.imports.entry_preview import entries_preview
from jobs.garage.models import Adjuster, Bike, ModelSheet, SheetAdjuster
from jobs.people.models import Customer, Rider
from jobs.trackday.models import Entry
from jobs.worklist.enums import Anchor, Cadence, Mark
from jobs.worklist.models import Checklist, ChecklistItem, TaskMark
from tests.days import day_build
from tests.queries import queries

HEAD = "number;group;name;make;model;colour;frame;email;package;weight_kg;bay\n"
FILE = (
    HEAD
    + "21;A;Ada Finn;Corvane;650 R;blue;XX7K42;ada@example.org;full-day;71,5;1\r\n"
    + "22;B;Bo Reed;Halden;T9;red;;;full-day;;2\r\n"
    + "22;C;Cy Orme;Halden;T9;red;1B2C;cy@example.org;Full day;;3\r\n"
)


@pytest.fixture
def day(db):
    return day_build(bikes=0).trackday


def preview(day, text):
    return entries_preview(trackday=day, text=text)


def bring(day, text):
    found = preview(day, text)
    assert found.faults == []
    entries_write(trackday=day, lines=found.lines)
    return found


def words(found):
    return [f.words for f in found.faults]


def everything():
    return [list(m.objects.order_by("pk").values()) for m in (Customer, Rider, Bike, Entry)]


def test_a_file_brings_customers_riders_bikes_and_entries(day):
    found = bring(day, FILE)
    assert (len(found.new), len(found.changed), found.gone) == (3, 0, [])
    entry = Entry.objects.get(number="21")
    assert (entry.bike.make, entry.bike.frame_last4, entry.bay) == ("Corvane", "7K42", "1")
    assert entry.rider.weight_in_kit_kg == Decimal("71.5")
    assert entry.payer == entry.bike.owner == Customer.objects.get(email="ada@example.org")
    day.refresh_from_db()
    assert day.revision == 1


def test_the_same_file_twice_changes_nothing(day):
    bring(day, FILE)
    before = everything()
    found = bring(day, FILE)
    assert (found.writes, len(found.same)) == (0, 3)
    assert everything() == before


def test_a_cancelled_entry_that_comes_again_stays_cancelled_and_is_named(day, signed_in, tuner):
    bring(day, FILE)
    Entry.objects.filter(number="21").update(absence="cancelled")
    again = FILE.replace("blue", "green")
    [line] = [line for line in preview(day, again).lines if line.stays_off]
    assert line.notices == [
        "Off this day (cancelled by the customer), and stays so. "
        "The first tap at the bike brings it back."
    ]
    desk, url = signed_in(tuner), reverse("desk:import-entries", args=[day.pk])
    seen = desk.post(url, {"text": again}).context["preview"].fingerprint
    page = desk.post(url, {"text": again, "seen": seen}, follow=True)
    said = [str(message) for message in page.context["messages"]]
    assert said == [
        "0 new, 1 changed, 2 as they were.",
        "Off this day before, and still: 21 A, Corvane 650 R, Ada Finn.",
    ]
    assert Entry.objects.get(number="21").absence == "cancelled"


def test_a_changed_row_updates_and_shows_what_it_changes(day):
    bring(day, FILE)
    later = FILE.replace("71,5;1", "73;11").replace("21;A", "121;B").replace("blue", "green")
    found = bring(day, later)
    [line] = found.changed
    assert {(d.what, d.was, d.becomes) for d in line.differences} == {
        ("number", "21", "121"),
        ("bay", "1", "11"),
        ("colour", "blue", "green"),
        ("weight in kit kg", "71.5", "73.0"),
        ("group", "A", "B"),
    }
    entry = Entry.objects.get(number="121")
    assert (entry.group.letter, entry.bike.colour, entry.bay) == ("B", "green", "11")
    assert Entry.objects.count() == 3


def test_an_empty_cell_wipes_nothing(day):
    bring(day, FILE)
    found = bring(day, FILE.replace(";71,5;1", ";;"))
    assert found.writes == 0
    assert Entry.objects.get(number="21").bay == "1"


def test_gone_rows_are_listed_and_stay(day):
    bring(day, FILE)
    found = bring(day, HEAD + FILE.splitlines()[1] + "\n")
    assert found.gone == ["22 B, Halden T9, Bo Reed", "22 C, Halden T9, Cy Orme"]
    assert Entry.objects.count() == 3


def test_a_number_twice_is_allowed_and_said(day):
    found = preview(day, FILE)
    assert [line.notices for line in found.lines] == [
        [],
        ["Number 22 is on 2 bikes: shown with bike and colour."],
        ["Number 22 is on 2 bikes: shown with bike and colour."],
    ]


@pytest.mark.parametrize(
    ("row", "line", "column", "word"),
    [
        ("31;E;Di;X;Y;;;;full-day;;", 2, "", "no run group “E” on this day. It has: A, B, C, D"),
        ("31;A;Di;X;Y;;;;gold;;", 2, "", "no service package “gold”"),
        ("31;A;Di;X;Y;;;;;;", 2, "package", "No service package is named"),
        ("31;A;;X;Y;;;;full-day;;", 2, "name", "must be filled in"),
        ("31;A;Di;X;Y;;;di@;full-day;;", 2, "email", "not an e-mail"),
        ("31;A;Di;X;Y;;;;full-day;9 stone;", 2, "weight_kg", "not a weight in kg"),
        ("31;A;Di;X;Y;;;;full-day;;\n31;A;DI;Z;Y;;;;full-day;;", 3, "", "Same name, number"),
    ],
)
def test_a_bad_row_is_named_and_nothing_may_be_written(day, row, line, column, word):
    found = preview(day, HEAD + row + "\n")
    assert [(f.line, f.column, word in f.words) for f in found.faults] == [(line, column, True)]
    assert not found.may_be_written


def test_an_empty_cell_that_holds_make_and_model_is_said_once(day):
    head = "number;group;name;Make and model;package\n"
    found = preview(day, head + "31;A;Ann;X Y;full-day\n32;A;Di;;full-day\n")
    assert [(f.line, f.column, f.about) for f in found.faults] == [(3, "Make and model", "32 Di")]


def test_every_bad_row_is_listed_at_once(day):
    found = preview(day, HEAD + "1;E;Di;X;Y;;;;full-day;x;\n2;F;;X;Y;;;;full-day;;\n")
    assert [(f.line, f.column) for f in found.faults] == [
        (2, ""),
        (2, "weight_kg"),
        (3, ""),
        (3, "name"),
    ]


def test_entries_before_a_timetable_are_told_what_is_missing(day):
    day.groups.all().delete()
    assert "timetable first" in words(preview(day, FILE))[0]


def test_the_ref_is_the_best_key(day):
    head = "ref;number;group;name;make;model;package\n"
    bring(day, head + "R1;5;A;Di;Corvane;650 R;full-day\nR2;5;A;Di;Corvane;650 R;full-day\n")
    found = bring(day, head + "R2;9;B;Diana;Corvane;650 R;full-day\n")
    [line] = found.changed
    assert {d.what for d in line.differences} == {"number", "group", "rider"}
    assert Entry.objects.get(ref="R2").rider.name == "Diana"


def test_a_row_known_by_name_gains_its_email_and_frame(day):
    bring(day, FILE)
    found = bring(day, FILE.replace("red;;;full-day", "red;9Z9Z;bo@example.org;full-day"))
    assert [line.entry.number for line in found.changed] == ["22"]
    assert Bike.objects.get(owner__email="bo@example.org").frame_last4 == "9Z9Z"
    assert Entry.objects.count() == 3


def test_a_name_alone_opens_nobodys_history(day):
    """Two people may share a name: without e-mail, phone or bike in common a new one is made."""
    Customer.objects.create(name="Bo Reed", email="other@example.org")
    found = bring(day, FILE)
    assert "nothing tells them apart" in found.lines[1].notices[0]
    assert Customer.objects.filter(name="Bo Reed").count() == 2


def test_a_returning_customer_keeps_bike_and_book(day):
    bring(day, FILE)
    bike = Bike.objects.get(frame_last4="7K42")
    again = day_build(bikes=0).trackday
    bring(again, FILE)
    assert Entry.objects.get(trackday=again, number="21").bike == bike
    assert (Customer.objects.count(), Bike.objects.count()) == (3, 3)


def test_a_bike_seen_before_under_another_owner_is_noticed(day):
    bring(day, FILE)
    found = preview(day, FILE.replace("ada@example.org", "new@example.org").replace("Ada", "Al"))
    assert any("If it was sold" in notice for notice in found.lines[0].notices)


def test_one_bike_two_riders_only_where_sessions_do_not_overlap(day):
    head = "ref;group;name;owner;make;model;frame;email;package\n"
    one = "R1;A;Di;Team;Corvane;650 R;7K42;team@example.org;full-day\n"
    same = "R2;A;Ed;Team;Corvane;650 R;7K42;team@example.org;full-day\n"
    assert "sessions overlap (see row 2)" in words(preview(day, head + one + same))[0]
    bring(day, head + one + same.replace("R2;A", "R2;B"))
    assert Bike.objects.count() == 1
    assert set(Entry.objects.values_list("rider__name", flat=True)) == {"Di", "Ed"}


def test_somebody_else_may_pay(day):
    head = "group;name;make;model;email;package;payer;payer_email\n"
    row = "A;Di;Corvane;650 R;di@example.org;full-day;Aunt Vi;vi@example.org\n"
    bring(day, head + row)
    assert Entry.objects.get().payer.name == "Aunt Vi"
    assert bring(day, head + row).writes == 0


def test_a_bike_that_was_worked_on_is_not_swapped(day, tuner):
    bring(day, FILE)
    entry = Entry.objects.get(number="21")
    checklist = Checklist.objects.create(code="try", name="Try")
    item = ChecklistItem.objects.create(
        checklist=checklist, code="look", text="Look", minutes=1, cadence=Cadence.ONCE,
        opens_from=Anchor.ARRIVAL, closes_from=Anchor.ROLL,
    )  # fmt: skip
    TaskMark.objects.create(
        task_id="0" * 31 + "1", entry=entry, item=item, mark=Mark.DONE, by=tuner,
        done_at="2026-06-13T08:00Z",
    )  # fmt: skip
    head = "number;group;name;make;model\n"
    found = preview(day, head + "21;A;Ada Finn;Halden;T9\n")
    assert "Work is already written for this entry on the Corvane 650 R" in words(found)[0]


def test_a_known_model_comes_with_its_adjusters(day):
    sheet = ModelSheet.objects.create(make="Corvane", model="650 R", front_usable_travel_mm=118)
    for leg in ("left", "right"):
        SheetAdjuster.objects.create(
            sheet=sheet, end="front", leg=leg, function="rebound", highest=20
        )
    SheetAdjuster.objects.create(sheet=sheet, end="rear", function="rebound", highest=24)
    bring(day, FILE)
    bike = Bike.objects.get(frame_last4="7K42")
    assert bike.front_usable_travel_mm == 118
    left, right, rear = Adjuster.objects.filter(bike=bike).order_by("end", "leg")
    assert left.pair == right.pair is not None
    assert (rear.pair, rear.highest) == (None, 24)


def rows(count):
    return HEAD + "".join(
        f"{n};{'ABCD'[n % 4]};Rider {n};Corvane;650 R;blue;F{n:03};r{n}@example.org;full-day;;\n"
        for n in range(count)
    )


def test_a_preview_costs_the_same_queries_for_one_row_and_for_five_hundred(day):
    with queries() as few:
        preview(day, rows(1))
    with queries() as many:
        preview(day, rows(500))
    assert (len(few), len(many)) == (10, 10)


def test_five_hundred_rows_come_in_one_sitting(day):
    bring(day, rows(500))
    assert Entry.objects.count() == 500
    with queries() as again:
        assert preview(day, rows(500)).writes == 0
    assert len(again) == 12  # as above, and the riders and bikes of those who are known


def test_all_or_nothing(day):
    head = "ref;group;name;make;model;package\n"
    found = preview(day, head + "R1;A;Di;X;Y;full-day\nR2;A;Ed;X;Y;full-day\n")
    bring(day, head + "R2;B;Flo;X;Y;full-day\n")  # somebody was quicker
    before = everything()
    with pytest.raises(IntegrityError):
        entries_write(trackday=day, lines=found.lines)
    assert everything() == before


def test_the_phone_for_the_call_on_the_day_is_the_riders_too(day):
    head = "number;group;name;make;model;email;package;phone\n"
    text = head + "5;A;Ada Finn;Corvane;650 R;a@example.org;full-day;{}\n"
    bring(day, text.format("0201"))
    assert (Rider.objects.get().phone, Customer.objects.get().phone) == ("0201", "0201")
    bring(day, text.format("0202"))
    assert (Rider.objects.get().phone, Customer.objects.get().phone) == ("0202", "0202")
    bring(day, text.format(""))
    assert Rider.objects.get().phone == "0202"
