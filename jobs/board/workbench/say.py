"""What the arithmetic says, in the reader's language."""

from collections.abc import Iterable

from django.utils.translation import gettext

from jobs.tuning.words import Words


def say(text: str) -> str:
    """A sentence of ``jobs.tuning`` translated, its own words inside it too."""
    if not isinstance(text, Words):
        return str(text)
    template = gettext(text.template)
    if not text.values:
        return template
    values = {k: say(v) if isinstance(v, str) else v for k, v in text.values.items()}
    return template.format(**values)


def say_all(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(say(text) for text in texts)
