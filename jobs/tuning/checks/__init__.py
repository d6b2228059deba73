"""The check table: every published or independently computed value, beside what we get.

``python -m jobs.tuning checks`` prints it; the tests run it and, where the expected value
came from a second library, run that library too.
"""

from . import chassis, damper, rider, tyre
from .table import Check, Mark, Outcome, run

CHECKS: tuple[Check, ...] = (
    *chassis.CHECKS,
    *damper.CHECKS,
    *tyre.CHECKS,
    *rider.CHECKS,
)

__all__ = ["CHECKS", "Check", "Mark", "Outcome", "run"]
