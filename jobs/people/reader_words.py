"""Columns whose sentence is shown in the reader's language where the program shipped it.

What a checklist, a finding or a suggestion brought is kept in English; what a person typed is
kept, and shown, as it was typed.
"""

from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.db import models
from django.utils.translation import override

from jobs.tuning.words import Words

if TYPE_CHECKING:
    Char = models.CharField[str, str]
    Text = models.TextField[str, str]
else:
    Char, Text = models.CharField, models.TextField


class _Read:
    """As it comes from the database. A migration sees the plain field."""

    def from_db_value(self, value: str | None, *args: object) -> str | None:
        return Words(value) if value else value


class ReaderCharField(_Read, Char):
    def deconstruct(self) -> Any:
        name, _path, args, kwargs = super().deconstruct()
        return name, "django.db.models.CharField", args, kwargs


class ReaderTextField(_Read, Text):
    def deconstruct(self) -> Any:
        name, _path, args, kwargs = super().deconstruct()
        return name, "django.db.models.TextField", args, kwargs


def in_every_language(sentence: str) -> set[str]:
    """A sentence of ours in English and in every language it may have been kept in."""
    found = {sentence[:]}
    for code, _name in settings.LANGUAGES:
        with override(code):
            found.add(str(sentence if isinstance(sentence, Words) else Words(sentence)))
    return found


def same_sentence(ours: str, kept: str) -> bool:
    """Whether a kept sentence is this one of ours, in any language."""
    return kept[:] in in_every_language(ours)
