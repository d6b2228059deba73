"""Measurements, each with the least work it could be, measured in the same run.

Times of one machine at one hour mean little; ratios within a run can be compared.
A module here with ``run(say, **options)`` and ``arguments(parser)`` is ``manage.py bench
<its name>``. It works on a database of its own, which is deleted afterwards.

The day board of 60 bikes without a cached fragment takes 30 to 40 times as long as its own SQL
through a plain cursor on SQLite, 9 to 12 times on PostgreSQL. Reading the same rows as models,
without using them, already takes 11 to 12 times as long: 19 queries, most of the time spent in
compiling them. The rest are 2,640 tasks that are derived and compared with the plan. Only the
fragment is kept between two reads, by the revision of the day and the minute.

An act takes as long as 2 to 4 plain inserts with their commit (conditions), 4 to 7 (a finding) or
6 to 9 (a change); the slower the disk, the fewer. A change reads nine rows as models, each as
long as half an insert: the adjuster under the lock of its bike, the last row, the outing it
belongs to, and others.
"""
