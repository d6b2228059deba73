"""What the temperatures of a tyre's surface show: a hint, and no more.

A surface cools from the moment the bike leaves the track, and what is under it stays warm: so
the words name the minutes, and a tyre is called cold only from a fresh reading. What a hot
centre means on a motorcycle nobody agrees on: it is said as a difference, without a verdict.
"""

from collections.abc import Iterator

from ..cooling import FRESH_MINUTES
from ..terms import End
from ..words import _
from .facts import END_WORDS
from .limits import Limits
from .reasoning_input import TyreTemperatures

Found = Iterator[tuple[str, End | None, str, str]]


def surface_facts(read: TyreTemperatures, wet: bool | None, limits: Limits) -> Found:
    """``wet``: in the rain every surface is cool, so its band is for a dry track only."""
    places = [c for c in (read.left_c, read.centre_c, read.right_c) if c is not None]
    if places and not wet:
        state = _heat_state(max(places), read, limits)
        if state:
            yield "surface", read.end, state, _heat_words(max(places), state, read, limits)
    if read.left_c is not None and read.right_c is not None:
        apart = read.right_c - read.left_c
        state = "apart" if abs(apart) > limits.heat_apart_c(read.end) else "alike"
        hotter = _("right") if apart > 0 else _("left")
        yield "sides", read.end, state, _hint(
            _("{end} tyre {side} side {by:.0f} °C hotter than the other",
              end=END_WORDS[read.end], side=hotter, by=abs(apart)), read,
        )  # fmt: skip
        if read.centre_c is not None:
            off = read.centre_c - (read.left_c + read.right_c) / 2
            state = "apart" if abs(off) > limits.heat_apart_c(read.end) else "alike"
            yield "centre", read.end, state, _hint(
                _("{end} tyre centre {by:+.0f} °C against its sides",
                  end=END_WORDS[read.end], by=off), read,
            )  # fmt: skip


def _heat_state(hottest: float, read: TyreTemperatures, limits: Limits) -> str:
    low, high = limits.heat_band(read.end)
    if hottest > high:
        return "high"
    if hottest >= low:
        return "right"
    return "low" if read.minutes <= FRESH_MINUTES else ""


def _heat_words(hottest: float, state: str, read: TyreTemperatures, limits: Limits) -> str:
    low, high = limits.heat_band(read.end)
    said = {"right": _("inside"), "low": _("below"), "high": _("above")}[state]
    words = _(
        "{end} tyre at most {hottest:.0f} °C, {said} the usual {low:.0f} to {high:.0f}",
        end=END_WORDS[read.end],
        hottest=hottest,
        said=said,
        low=low,
        high=high,
    )
    return _hint(words, read)


def _hint(words: str, read: TyreTemperatures) -> str:
    return _(
        "{words}: surface only, {minutes:.0f} min after the stop, a hint",
        words=words,
        minutes=read.minutes,
    )
