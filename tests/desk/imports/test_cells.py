"""How cells are read: decimal commas, times, dates, frames."""

from datetime import date, time
from decimal import Decimal

import pytest

from jobs.desk.imports import columns
from jobs.desk.imports.columns import UnreadableError


@pytest.mark.parametrize(
    ("read", "cell", "value"),
    [
        (columns.weight, "82,5", Decimal("82.5")),
        (columns.weight, "82.5 kg", Decimal("82.5")),
        (columns.weight, "", None),
        (columns.clock_time, "9:05", time(9, 5)),
        (columns.clock_time, "09.05", time(9, 5)),
        (columns.clock_time, "0905", time(9, 5)),
        (columns.clock_time, "09:05:00", time(9, 5)),
        (columns.clock_time, "2:05 pm", time(14, 5)),
        (columns.clock_time, "12:00 AM", time(0, 0)),
        (columns.calendar_date, "2026-05-31", date(2026, 5, 31)),
        (columns.calendar_date, "31.5.2026", date(2026, 5, 31)),
        (columns.frame_end, "ab1-7k42", "7K42"),
        (columns.frame_end, "7k42", "7K42"),
        (columns.email, " A@Example.ORG ", "a@example.org"),
        (columns.year, "2021", 2021),
        (columns.country, "ie", "IE"),
        (columns.whole, "3", 3),
    ],
)
def test_a_cell_is_read(read, cell, value):
    assert read(cell) == value


@pytest.mark.parametrize(
    ("read", "cell", "words"),
    [
        (columns.weight, "heavy", "“heavy” is not a weight in kg."),
        (columns.weight, "825", "825 kg is not a rider's weight in kit"),
        (columns.clock_time, "9", "“9” is not a time such as 09:20."),
        (columns.clock_time, "24:10", "is not a time"),
        (columns.clock_time, "13:00 pm", None),
        (columns.calendar_date, "05/06/2026", "is not a date such as"),
        (columns.calendar_date, "2026-02-30", "is not a date such as"),
        (columns.frame_end, "42", "is not a frame number"),
        (columns.email, "nobody", "“nobody” is not an e-mail address."),
        (columns.year, "21", "is not a year"),
        (columns.country, "Eire", "two-letter code"),
        (columns.whole, "0", "is not a session's number"),
        (columns.short(4), "ABCDE", "has 5 characters; at most 4 fit"),
    ],
)
def test_a_cell_that_cannot_be_meant_is_refused_in_words(read, cell, words):
    if words is None:  # 13:00 pm can only mean 13:00
        assert read(cell) == time(13, 0)
        return
    with pytest.raises(UnreadableError) as refused:
        read(cell)
    assert words in str(refused.value)
