"""Proven bounds, and the long search that spends minutes to improve a plan.

Everything that uses the optional solvers is here, and nothing else is: HiGHS (``highspy``)
for linear and integer problems, CP-SAT (``ortools``) for parts of the day. Both are imported
when first needed; without them the everyday planner works and nothing is proven.

``bounds``           no plan costs less than this
``relaxation``       the linear relaxation with a column per task and start
``roles``            the integer problem that counts people by role
``long_search``      the search of minutes: the relaxation guides it, then intervals are solved
``intervals``        an interval of the day solved exactly
``rounding``         a plan from the fractions of a relaxation
``fewest_first_missed``
                     the fewest ``first`` tasks that any plan misses, exactly
``rest_of_day``      the best plan found for the rest of a day after a change, and its bound
``crew_assignment``  people for the starts that a solver chose
``fewest_moves``     of the plans with one cost, the one with the fewest moved tasks
"""
