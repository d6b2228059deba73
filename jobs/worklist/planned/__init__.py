"""The day as a problem of the planner (``jobs.planning``), and the plan as it is stored.

``problem``          crew, tasks and decisions of people as input of the planner
``stored``           the plan as stored, and whether the day has changed since
``planner_process``  the planner's command line in a process of its own
``offer``            a better plan, which is offered: nothing moves before somebody takes it
``spare_work``       what is offered to somebody who has nothing open
``gaps``             later times at which a task could be done
``capacity``         how many more bikes the day can take, and how many helpers it needs
``chances``          how likely follow-ups are done in time, and the cost to expect
``delay_preview``    the effect of a delay before it is entered

``services.plans`` replaces a plan that is out of date at once, with a short search; two plans
for one page share the budget ``Inline``. Then ``tasks`` searches on step by step, publishes what
each step gains, and computes what would help. A page compares the day with its plan by the
windows alone; the complete problem is built only if the plan is out of date. The clock, too,
makes a plan out of date, so the revision of the day is not enough to know.
"""
