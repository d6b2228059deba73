"""The arithmetic of suspension in pure Python, without Django, input or output.

One module per topic: sag, springs, damping, oil, tyres, wear, geometry, load, pace,
evidence. Arguments are given by keyword, with the unit in the name; results are frozen
dataclasses. Bad input raises :class:`Refused` with a sentence that a tuner understands. A
number is never invented. ``python -m jobs.tuning checks`` prints what each formula was
checked against.

Conventions: mm, N, N/mm, kg, g = 9.80665 m/s2; pressure in kPa, always marked gauge or
absolute; T(K) = degC + 273.15; rake from the vertical; compression and sag positive;
motion ratio = d(shock)/d(wheel), below 1; clicks counted out from fully closed.
"""

from .refusal import AskAgain, Refused

__all__ = ["AskAgain", "Refused"]
