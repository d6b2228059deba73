"""The check table: every published or independently computed value, with our own result.

``python -m jobs.tuning checks`` prints it. The tests run it and, where the expected value was
computed with a second library, compute it with that library again.
"""

from . import chassis, damper, outlook, rider, tyre
from .table import Check, CheckResult, ValueSource, run

CHECKS: tuple[Check, ...] = (
    *chassis.CHECKS,
    *damper.CHECKS,
    *tyre.CHECKS,
    *rider.CHECKS,
    *outlook.CHECKS,
)

__all__ = ["CHECKS", "Check", "CheckResult", "ValueSource", "run"]
