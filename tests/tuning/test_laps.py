"""Lap times are read from any file a spreadsheet or a timing program saves."""

import pytest

from jobs.tables.rows import text_of
from jobs.tuning.pace import Lap, laps_and_faults, parse_laps
from jobs.tuning.refusal import Refused


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_every_separator_and_encoding_is_taken(separator, encoding):
    rows = ("Größe|Lap Time|Note", "x|1:55.0|out", "", "ö|103.25|")
    text = "\r\n".join(row.replace("|", separator) for row in rows)
    assert parse_laps(text_of(text.encode(encoding))) == (Lap(115.0, "out"), Lap(103.25))


def test_a_quoted_separator_does_not_decide_the_separator():
    assert parse_laps('"Driver, class, team";Time\na;1:43,4\n') == (Lap(103.4),)


@pytest.mark.parametrize("text", ["time\n" + '"' + "1\n" * 70_000, '"' + "1 " * 70_000])
def test_a_quotation_mark_that_is_not_closed_is_refused(text):
    with pytest.raises(Refused, match="a quotation mark is opened and not closed"):
        parse_laps(text)


def test_a_blank_line_counts_as_a_line_of_the_file():
    with pytest.raises(ValueError, match="Line 4"):
        parse_laps("time\n\n103.2\nfast\n")


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("1:42.5 1:43,1", [102.5, 103.1]),
        ("3;1:42.5", [102.5]),
        ("3 1:42.5\n4 1:43.1", [102.5, 103.1]),
        ("#3 | 1:42.5", [102.5]),
        ("1:42.5, 1:43.1,", [102.5, 103.1]),
        ("103 104\n105", [103, 104, 105]),
        ("lap 3 best 1:42.5", [102.5]),
        ("0:12:03.5", [723.5]),
    ],
)
def test_every_lap_of_a_line_is_read_and_no_lap_number(text, seconds):
    assert [lap.seconds for lap in parse_laps(text)] == seconds


def test_a_mark_belongs_to_the_lap_beside_it():
    assert parse_laps("out 1:55.0\n1:43.4 1:42.9 red 1:44.0") == (
        Lap(115.0, "out"),
        Lap(103.4),
        Lap(102.9, "flagged"),
        Lap(104.0),
    )


def test_a_line_with_a_lap_and_something_unreadable_is_refused():
    with pytest.raises(Refused, match=r'Line 2: "1:4x\.1" is not a lap time'):
        parse_laps("1:43.4\n1:42.9 1:4x.1")


def test_every_fault_is_named():
    laps, faults = laps_and_faults("1:43.4\n9\nquick\n1:42.9")
    assert [lap.seconds for lap in laps if lap.seconds > 15] == [103.4, 102.9]
    assert [str(fault)[:7] for fault in faults] == ["Line 2:", "Line 3:"]
