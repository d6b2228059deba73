"""The arithmetic of suspension: pure Python, no Django, no input or output.

One module per topic: sag, springs, damping, oil, tyres, wear, geometry, load, pace,
evidence. Numbers go in by keyword with the unit in the name, frozen dataclasses come
out. Bad input raises :class:`Refused` with a sentence a tuner understands; a number is
never invented. What each formula was checked against: ``python -m jobs.tuning checks``.

Conventions: mm, N, N/mm, kg, g = 9.80665 m/s2; pressure in kPa, always marked gauge or
absolute; T(K) = degC + 273.15; rake from the vertical; compression and sag positive;
motion ratio = d(shock)/d(wheel), below 1; clicks counted out from fully closed.
"""

from .refusal import AskAgain, Refused

__all__ = ["AskAgain", "Refused"]
