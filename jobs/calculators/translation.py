"""Sentences of ``jobs.tuning`` in the reader's language."""

from collections.abc import Iterable

from django.utils.translation import gettext

from jobs.tuning.words import Words


def translated(text: str) -> str:
    """A sentence of ``jobs.tuning`` translated, its own words inside it too."""
    if not isinstance(text, Words):
        return str(text)
    template = gettext(text.template)
    if not text.values:
        return template
    values = {k: translated(v) if isinstance(v, str) else v for k, v in text.values.items()}
    return template.format(**values)


def translated_all(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(translated(text) for text in texts)
