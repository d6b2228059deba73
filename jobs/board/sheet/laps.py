"""Lap times as people paste them: 1:42.5, 102.5, one a line or separated, with or without
a lap number in front."""

import re
from decimal import Decimal

from django.utils.translation import gettext as _

LAP = re.compile(r"(?:(\d{1,2}):)?(\d{1,3})(?:[.,](\d{1,3}))?")
SEPARATORS = re.compile(r"[;\t\n]+|,\s+|\s+")


def lap_seconds(text: str) -> tuple[list[Decimal], list[str]]:
    """The laps in seconds, and what could not be read, in words.

    A line "3;1:42.5" or "3 1:42.5" is lap 3: where a time with minutes or a decimal part
    stands in a line, whole numbers in it are lap numbers.

    >>> lap_seconds("1:42.5 1:43,1")
    ([Decimal('102.5'), Decimal('103.1')], [])
    """
    laps, faults = [], []
    for line in text.splitlines():
        words = [word for word in SEPARATORS.split(line.strip()) if word]
        times = [word for word in words if not word.isdigit()] or words
        for word in times:
            found = LAP.fullmatch(word)
            if found is None:
                faults.append(_("“%(word)s” is not a lap time such as 1:42.5.") % {"word": word})
                continue
            minutes, seconds, part = found.groups()
            laps.append(Decimal(f"{int(minutes or 0) * 60 + int(seconds)}.{part or 0}"))
    return laps, faults
