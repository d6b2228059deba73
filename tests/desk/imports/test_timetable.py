"""A timetable file: read, previewed, written."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from jobs.desk.imports.timetable import timetable_read
from jobs.desk.imports.timetable_import import timetable_preview, timetable_write
from jobs.trackday.models import Session, Trackday, Venue
from tests.queries import queries

DUBLIN = ZoneInfo("Europe/Dublin")
DAY = date(2026, 6, 13)
FILE = """group,session,start,end
A,1,09:00,09:20
B,1,09:20,09:40
A,2,10:00,10:20
lunch,,12:30,13:15
close,,17:00,
"""


def faults(text, day=DAY, zone=DUBLIN):
    return [(f.line, f.column, f.words) for f in timetable_read(text, day=day, zone=zone).faults]


def test_times_are_the_venues_and_kept_in_utc():
    timetable = timetable_read(FILE, day=DAY, zone=DUBLIN)
    assert timetable.faults == []
    first = timetable.sessions[0]
    assert (first.group, first.number) == ("A", 1)
    assert first.start == datetime(2026, 6, 13, 8, 0, tzinfo=UTC)
    assert timetable.lunch[0] == datetime(2026, 6, 13, 11, 30, tzinfo=UTC)
    assert timetable.close == datetime(2026, 6, 13, 16, 0, tzinfo=UTC)


def test_sessions_without_a_number_are_counted_by_time():
    timetable = timetable_read(
        "group;start;end\nA;10:00;10:20\nB;9:20;9:40\nA;9:00;9:20\n", day=DAY, zone=DUBLIN
    )
    assert [(s.group, s.number, s.line) for s in timetable.sessions] == [
        ("A", 1, 4),
        ("A", 2, 2),
        ("B", 1, 3),
    ]


@pytest.mark.parametrize(
    ("rows", "line", "column", "words"),
    [
        ("A,1,09:00,09:20\nA,2,09:10,09:30", 3, "start", "session 1 is not over"),
        ("A,1,09:20,09:00", 2, "end", "The end is not after the start."),
        ("A,2,09:00,09:20\nA,1,10:00,10:20", 3, "session", "numbers must rise"),
        ("A,1,09:00,09:20\nA,1,10:00,10:20", 3, "session", "numbers must rise"),
        ("A,1,09:00,21:00", 2, "end", "am or pm?"),
        ("A,1,nine,09:20", 2, "start", "is not a time"),
        (",1,09:00,09:20", 2, "group", "must be filled in"),
        ("A,1,09:00,", 2, "end", "must be filled in"),
        ("Novices,1,09:00,09:20", 2, "group", "at most four characters"),
        ("lunch,,12:00,13:00\nlunch,,13:00,14:00", 3, "group", "two lunch rows"),
    ],
)
def test_what_cannot_be_is_refused_in_words(rows, line, column, words):
    found = faults("group,session,start,end\n" + rows + "\n")
    assert [(f[0], f[1], words in f[2]) for f in found] == [(line, column, True)]


def test_another_days_file_is_refused():
    found = faults("group,start,end,date\nA,09:00,09:20,2026-06-14\n")
    assert found[0][:2] == (2, "date")


def test_a_time_the_clock_change_skips_or_repeats_is_refused():
    """Ireland: 29 March 2026 01:00 to 02:00 is skipped, 25 October 01:00 to 02:00 repeats.

    Source: IANA time zone database, Europe/Dublin.
    """
    row = "group,start,end\nA,01:10,01:30\n"
    assert "does not exist that day" in faults(row, day=date(2026, 3, 29))[0][2]
    assert "happens twice that day" in faults(row, day=date(2026, 10, 25))[0][2]


@pytest.fixture
def trackday(db):
    venue = Venue.objects.create(name="Harrow Fen", timezone="Europe/Dublin")
    return Trackday.objects.create(venue=venue, name="Open day", date=DAY)


def bring(trackday, text):
    trackday.refresh_from_db()
    preview = timetable_preview(trackday=trackday, text=text)
    assert preview.faults == []
    timetable_write(trackday=trackday, preview=preview)
    return preview


def test_the_same_file_twice_changes_nothing(trackday):
    first = bring(trackday, FILE)
    assert (len(first.new), len(first.plan)) == (3, 2)
    before = list(Session.objects.values())
    second = bring(trackday, FILE)
    assert (second.writes, len(second.same)) == (0, 3)
    assert list(Session.objects.values()) == before


def test_a_changed_row_moves_its_session_and_a_gone_one_stays(trackday):
    bring(trackday, FILE)
    later = "group,session,start,end\nA,1,09:05,09:25\nA,2,10:00,10:20\n"
    preview = bring(trackday, later)
    assert [d.becomes for line in preview.changed for d in line.differences] == ["09:05–09:25"]
    assert preview.gone == ["B 1, 09:20–09:40"]
    assert Session.objects.count() == 3


def test_a_session_that_was_run_is_not_moved(trackday):
    bring(trackday, FILE)
    Session.objects.filter(group__letter="A", number=1).update(
        actual_start=datetime(2026, 6, 13, 8, 1, tzinfo=UTC)
    )
    preview = timetable_preview(
        trackday=trackday, text=FILE.replace("A,1,09:00,09:20", "A,1,09:05,09:25")
    )
    assert [f.line for f in preview.faults] == [2]
    assert "already been run" in preview.faults[0].words


def test_a_preview_costs_the_same_queries_at_any_length(trackday):
    with queries() as short:
        timetable_preview(trackday=trackday, text=FILE)
    long = "group,start,end\n" + "".join(
        f"G{n % 9},{n // 9 + 6}:00,{n // 9 + 6}:20\n" for n in range(90)
    )
    with queries() as longer:
        timetable_preview(trackday=trackday, text=long)
    assert (len(short), len(longer)) == (1, 1)


PACED = """group,session,start,end,level
A,1,09:00,09:20,Anfänger
A,2,10:00,10:20,
B,1,09:20,09:40,quick
"""


@pytest.mark.django_db
def test_how_fast_a_group_rides_is_taken_from_its_rows_and_an_empty_cell_wipes_nothing():
    venue = Venue.objects.create(name="Ballymoor Circuit", timezone="Europe/Dublin")
    trackday = Trackday.objects.create(venue=venue, name="Open day", date=DAY)
    preview = timetable_preview(trackday=trackday, text=PACED)
    assert [(d.what, d.was, d.becomes) for d in preview.plan] == [
        ("group A's pace", "", "novice"),
        ("group B's pace", "", "quick"),
    ]
    timetable_write(trackday=trackday, preview=preview)
    assert dict(trackday.groups.values_list("letter", "pace")) == {"A": "novice", "B": "quick"}
    assert timetable_preview(trackday=trackday, text=PACED).writes == 0
    timetable_write(trackday=trackday, preview=timetable_preview(trackday=trackday, text=FILE))
    assert dict(trackday.groups.values_list("letter", "pace")) == {"A": "novice", "B": "quick"}


def test_a_pace_that_is_none_and_two_that_differ_are_named():
    rows = "group,start,end,pace\nA,09:00,09:20,brisk\nB,09:20,09:40,quick\nB,10:20,10:40,novice"
    assert faults(rows) == [
        (2, "pace", "“brisk” is no pace: novice, middle or quick."),
        (4, "pace", "Group B has another pace in a row before: quick."),
    ]
