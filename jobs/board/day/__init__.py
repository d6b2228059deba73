"""The day board: timetable strip, bikes to see first, all bikes, the crew."""
