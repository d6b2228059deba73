"""Every calculator of the workbench, in the order of work.

A new one: write its arithmetic in ``jobs.tuning`` with its check rows, describe its inputs
and its answer in a module here, and add it to ``CALCULATORS``.
"""

from ..answers import Calculator
from .chassis import BRAKING, FREQUENCY, GEOMETRY, TRAVEL
from .damper import OIL, PUSH
from .numbers import EVIDENCE, UNITS
from .pace import PACE
from .ring import RING
from .sag import SAG
from .springs import COIL, FORK_RATE, NEEDED, SHOCK_RATE
from .tyres import PRESSURE, TEMPERATURES
from .wear import WEAR

CALCULATORS: tuple[Calculator, ...] = (
    PRESSURE,
    TEMPERATURES,
    WEAR,
    SAG,
    NEEDED,
    FORK_RATE,
    SHOCK_RATE,
    COIL,
    RING,
    PUSH,
    OIL,
    GEOMETRY,
    TRAVEL,
    BRAKING,
    FREQUENCY,
    PACE,
    EVIDENCE,
    UNITS,
)
BY_SLUG = {calculator.slug: calculator for calculator in CALCULATORS}
