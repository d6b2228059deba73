"""Choices shown as drawings: a wheel, a part of its tread."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End
from jobs.plots import places

TREAD = {
    "left": _("tyre, left side"),
    "centre": _("tyre, centre"),
    "right": _("tyre, right side"),
}


@dataclass(frozen=True)
class DrawnChoice:
    """One choice: its name in the form or the address, its words, its drawing."""

    name: str
    words: str
    drawing: SafeString


def wheels() -> Iterator[DrawnChoice]:
    for end in End:
        yield drawn_choice(
            end.value, str(end.label), places.wheel_place(end.value, alt=str(end.label))
        )


def tread(words_of: Mapping[str, Promise] = TREAD) -> Iterator[DrawnChoice]:
    """Left and right as the rider sees them."""
    for name, words in words_of.items():
        yield drawn_choice(name, str(words), places.tyre_place(name, alt=str(words)))


def drawn_choice(name: str, words: str, drawing: str) -> DrawnChoice:
    return DrawnChoice(name, words, mark_safe(drawing))  # noqa: S308 - our own drawing
