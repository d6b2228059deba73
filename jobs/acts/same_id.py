"""An act that comes under an id that is known: the same act again, or another one.

The same act again gets its first answer. Another one gets a refusal in words, never the
answer of the first: what it says was not done.
"""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from .models import Act
from .registry import KINDS, Payload

FORM = "form"  # the kind of an act that was refused because its form could not be read


class IdTaken(ValidationError):
    """The id is that of an act with other content."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "Another act was sent under this act's id: the id was already used for "
                "something else. That one stays as it is, and this one was not done."
            )
        )


def check_same_act(
    earlier: Act, *, kind: str, payload: Payload, version: int, worked_out: frozenset[str]
) -> None:
    """Raises IdTaken unless this is the act ``earlier`` again.

    ``worked_out`` are fields that the program filled in when it read the form: they may be
    others by now. A form that was refused stays refused, even if it would be accepted now.
    """
    if earlier.kind == FORM or _words_were_removed(earlier):
        return
    if earlier.kind != kind:
        raise IdTaken
    now, then = (_today(kind, *sent) for sent in ((payload, version), _sent(earlier)))
    if _without(now, worked_out) != _without(then, worked_out):
        raise IdTaken


def check_same_form(earlier: Act, form: dict[str, Any]) -> None:
    """The same for a form that can no longer be read: by the fields named as in the payload."""
    if earlier.kind == FORM or _words_were_removed(earlier):
        return
    if form.get("kind", earlier.kind) != earlier.kind:
        raise IdTaken
    posted = form["payload"] if isinstance(form.get("payload"), dict) else form
    for name, value in earlier.payload.items():
        said = posted.get(name)
        if isinstance(value, str | int) and isinstance(said, str) and _as_text(value) != said:
            raise IdTaken


def _sent(earlier: Act) -> tuple[Payload, int]:
    return earlier.payload, earlier.version


def _words_were_removed(earlier: Act) -> bool:
    """A customer's words are gone from the trail: nothing can be compared any more."""
    return not earlier.answer.get("text")


def _today(kind: str, payload: Payload, version: int) -> Any:
    """In today's version of the kind; as it was sent where that cannot be."""
    try:
        return KINDS[kind].upcast(payload, version)
    except (KeyError, ValidationError):
        return payload


def _without(payload: Any, names: frozenset[str]) -> Any:
    kept = _as_text(payload)
    if isinstance(kept, dict):
        return {name: value for name, value in kept.items() if name not in names}
    return kept


def _as_text(value: Any) -> Any:
    """Numbers as text: a form posts 31 as “31”."""
    if isinstance(value, dict):
        return {name: _as_text(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_as_text(one) for one in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)
    return value
