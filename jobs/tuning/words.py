"""Sentences that are made here and translated elsewhere.

The arithmetic does not use Django, but people read its sentences. ``_`` marks a template for
makemessages and fills it in. The result is a string in English, by which it is compared and
kept; printed, or put on a page, it is in the reader's language.
"""

import html
from collections.abc import Callable


def _as_written(template: str) -> str:
    return template


class _Reader:
    """Gives a template in the language of whoever reads at this moment."""

    translate: Callable[[str], str] = staticmethod(_as_written)


def translate_by(translate: Callable[[str], str]) -> Callable[[str], str]:
    """Sentences are read through ``translate`` from now on; what they were read through before.

    >>> before = translate_by(str.upper)
    >>> str(Words("no number")), Words("no number") == "no number"
    ('NO NUMBER', True)
    >>> translate_by(before) is str.upper
    True
    """
    before = _Reader.translate
    _Reader.translate = staticmethod(translate)
    return before


class Words(str):
    """A finished sentence that keeps its ``template`` and ``values``.

    >>> text = Words("{minutes} min old, reads low", minutes=4)
    >>> text, text.template
    ('4 min old, reads low', '{minutes} min old, reads low')
    """

    template: str
    values: dict[str, object]

    def __new__(cls, template: str, **values: object) -> "Words":
        words = super().__new__(cls, template.format(**values) if values else template)
        words.template = template
        words.values = values
        return words

    def __str__(self) -> str:
        """In the reader's language."""
        template = _Reader.translate(self.template) if self.template else ""
        return template.format(**self.values) if self.values else template

    def __format__(self, form: str) -> str:
        return format(str(self), form)

    def __html__(self) -> str:
        """What a page shows: Django's templates ask for it before they escape."""
        return html.escape(str(self))

    def __reduce__(self) -> tuple[object, ...]:
        return _again, (self.template, self.values)


def _again(template: str, values: dict[str, object]) -> Words:
    """A copied or unpickled sentence."""
    return Words(template, **values)


_ = Words
