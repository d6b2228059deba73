"""Two files go in: entries and timetable, as CSV.

    table    bytes -> rows of named cells, or why not
    columns  the documented columns and how each cell is read
    entries  rows -> EntryRow, timetable: rows -> SessionRow; pure, with every fault by line
    preview  rows against what the day has: new, changed, same, gone
    apply    the preview written, all of it or nothing

Nothing is kept between preview and import: the file's text travels with the form and
is read again, so what is written is exactly what was seen.
"""
