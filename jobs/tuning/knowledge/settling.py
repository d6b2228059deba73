"""When a bike is right, so that it is left alone.

Settled: a clean tyre, about three quarters of travel used and no complaint, on two outings
at like pace. Common practice, no source; the band and the limits are the business's own.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ..pace import OutingPace
from ..words import _
from .bike import Travel
from .facts import END_WORDS
from .limits import Limits
from .observing import travel_state

OUTINGS_NEEDED = 2
WORDS = {"faster": _("quicker"), "slower": _("slower")}


@dataclass(frozen=True)
class Outing:
    """One outing as the book has it. None: nobody looked, or nobody asked.

    ``pace``: from lap times. ``word``: the rider's own ("faster", "like", "slower" than the
    outing before), which counts only where the laps cannot tell.
    """

    clean_tyre: bool | None
    complaint: bool | None
    travels: tuple[Travel, ...] = ()
    pace: OutingPace | None = None
    word: str = ""
    wet: bool | None = None


@dataclass(frozen=True)
class Settled:
    """Whether it is, what speaks for it, and what is still missing in words."""

    settled: bool
    because: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    by_word: bool = False


def settled(outings: Sequence[Outing], limits: Limits | None = None) -> Settled:
    """Judge the last two outings of one bike, oldest first.

    >>> from jobs.tuning.terms import End
    >>> good = Outing(clean_tyre=True, complaint=False, word="like",
    ...               travels=(Travel(End.FRONT, 90, 120),))
    >>> settled([good, good]).settled
    True
    >>> settled([good]).missing
    ('One more outing like this.',)
    """
    limits = limits or Limits()
    last = list(outings)[-OUTINGS_NEEDED:]
    missing = [why for outing in last for why in _amiss(outing, limits)]
    if len(last) < OUTINGS_NEEDED:
        missing.append(_("One more outing like this.") if last else _("No outing yet."))
        return Settled(False, missing=tuple(dict.fromkeys(missing)))
    alike, words, by_word = like_pace(last[0], last[1], limits)
    if not alike:
        missing.append(words)
    because = (
        _("clean tyre"),
        _("about three quarters of travel used"),
        _("no complaint"),
        words,
    )
    done = not missing
    return Settled(done, because if done else (), tuple(dict.fromkeys(missing)), by_word)


def _amiss(outing: Outing, limits: Limits) -> list[str]:
    """What keeps one outing from counting, in words."""
    found: list[str] = []
    if outing.clean_tyre is not True:
        found.append(
            _("Look at the tyre.") if outing.clean_tyre is None else _("The tyre is not clean.")
        )
    if outing.complaint is not False:
        found.append(
            _("Ask the rider.") if outing.complaint is None else _("The rider has a complaint.")
        )
    if not outing.travels:
        found.append(_("Read the travel ring."))
    for travel in outing.travels:
        if travel_state(travel, limits) != "right":
            share = travel.used_mm / travel.usable_mm
            found.append(
                _(
                    "{end}: {share:.0%} of travel used, not {low:.0%} to {high:.0%}.",
                    end=END_WORDS[travel.end],
                    share=share,
                    low=limits.travel_low,
                    high=limits.travel_high,
                )
            )
    return found


def like_pace(before: Outing, after: Outing, limits: Limits) -> tuple[bool, str, bool]:
    """Whether two outings were at like pace, said how, and whether only by the rider's word.

    Clean medians within the limit (1 s), else the rider's word.
    """
    if before.wet is not None and after.wet is not None and before.wet != after.wet:
        return False, _("One outing was wet, the other dry."), False
    if before.pace and after.pace:
        apart = after.pace.median_s - before.pace.median_s
        words = _("like pace: medians {apart:.1f} s apart", apart=abs(apart))
        if abs(apart) <= limits.like_pace_s:
            return True, words, False
        return False, _("Not at like pace: {apart:+.1f} s.", apart=apart), False
    if after.word == "like":
        return True, _("like pace by the rider's word"), True
    if after.word:
        word = WORDS.get(after.word, after.word)
        return False, _("Not at like pace, by the rider's word: {word}.", word=word), True
    return False, _("No lap times: ask the rider, quicker, same or slower?"), True
