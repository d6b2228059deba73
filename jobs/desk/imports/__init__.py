"""Two lists go in, entries and timetable, in whatever file the organiser has.

    fields         what each list can say, and how organisers head it
    columns        how a cell is read
    entries        rows -> EntryRow, ``timetable``: rows -> SessionRow; pure, every fault by row
    preview        rows against what the day has: new, changed, same, gone
    entry_import, timetable_import   the preview written, all of it or nothing

The file itself is read by ``jobs.tables``. Of it nothing is kept between preview and import:
its rows travel with the form and are read again, so what is written is exactly what was seen.
"""
