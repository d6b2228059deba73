"""The work: checklists as data, marks on tasks, holds, and the stored plan.

Tasks are derived and never stored (``derive``, ``occasions``, ``orders``).
``selectors.day_read`` reads a whole day with the same number of queries for any number of
bikes. ``rounds`` is the one module that says who does what next, and why. ``planned`` gives the
day to the planner and keeps its plan.
"""
