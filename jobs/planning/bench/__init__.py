"""Benches of the planner: random days (``python -m jobs.planning bench``) and published instances.

``random_days``  trackdays made up from a seed, also used by the tests
``survival``     simulated days on which minutes scatter (``python -m jobs.planning survive``):
                 ``simulated_world`` is what happens, ``simulator`` a crew at work in it, without
                 code of the planner, ``planned_crew`` a crew that follows the planner,
                 ``statements`` what is said of these days against what comes of them,
                 ``invented_crews`` minutes learned against the true ones
``comparison``   every rule and budget on random days, as one table
``tardiness``    OR-Library's single-machine instances (``python -m jobs.planning tardiness``)
"""
