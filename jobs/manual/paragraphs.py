"""What a manual consists of."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise


@dataclass(frozen=True)
class Paragraph:
    """One piece of work: what to do first, then what.

    ``name`` is its id on the page and occurs once in all manuals. ``screens`` are the names of
    the views whose "?" leads to it. ``picture`` is the name of a picture in ``static/manual``,
    ``shows`` says in words what is on it. ``mind`` is a caution.
    """

    name: str
    title: "_StrPromise"
    steps: "tuple[_StrPromise, ...]"
    mind: "_StrPromise | str" = ""
    picture: str = ""
    shows: "_StrPromise | str" = ""
    screens: tuple[str, ...] = ()


@dataclass(frozen=True)
class Manual:
    """The manual of one job. ``begin`` says for whom it is and what to read first."""

    title: "_StrPromise"
    begin: "_StrPromise"
    paragraphs: tuple[Paragraph, ...]
