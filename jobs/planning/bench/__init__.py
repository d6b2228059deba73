"""Benches of the planner: random days (``python -m jobs.planning bench``) and published instances.

``random_days``  trackdays made up from a seed, also used by the tests
``comparison``   every rule and budget on random days, as one table
``tardiness``    OR-Library's single-machine instances (``python -m jobs.planning tardiness``)
"""
