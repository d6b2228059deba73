"""Measurements, each against a floor taken in the same run: numbers of one machine and one
hour mean little, ratios within a run do.

A module here with ``run(say, **options)`` and ``arguments(parser)`` is ``manage.py bench
<its name>``. It works on a database of its own that is gone afterwards.
"""
