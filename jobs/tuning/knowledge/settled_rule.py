"""When a bike is settled, so that it is left as it is.

Settled: a clean tyre, travel used within its band and no complaint, on two outings at like
pace. Common practice, no source; the range and the limits are the business's own.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ..pace import OutingPace
from ..words import _
from .facts import END_WORDS
from .limits import Limits
from .readings_to_facts import travel_state
from .reasoning_input import TravelReading

OUTINGS_NEEDED = 2
WORDS = {"faster": _("quicker"), "slower": _("slower")}


@dataclass(frozen=True)
class OutingRecord:
    """One outing from the setup book. None: nobody looked, or nobody asked.

    ``travel_questions``: of travel readings that show nothing yet, what is missing.

    ``pace``: from lap times. ``word``: what the rider says ("faster", "like", "slower" than
    the outing before); used only without lap times.
    """

    clean_tyre: bool | None
    complaint: bool | None
    travels: tuple[TravelReading, ...] = ()
    travel_questions: tuple[str, ...] = ()
    pace: OutingPace | None = None
    word: str = ""
    wet: bool | None = None


@dataclass(frozen=True)
class SettledResult:
    """Whether the bike is settled, why, and what is still missing, in words."""

    settled: bool
    because: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    by_word: bool = False


def settled(outings: Sequence[OutingRecord], limits: Limits | None = None) -> SettledResult:
    """Judge the last two outings of one bike, oldest first.

    >>> from jobs.tuning.terms import End
    >>> good = OutingRecord(clean_tyre=True, complaint=False, word="like",
    ...               travels=(TravelReading(End.FRONT, 90, 120),))
    >>> settled([good, good]).settled
    True
    >>> settled([good]).missing
    ('One more outing like this.',)
    """
    limits = limits or Limits()
    last = list(outings)[-OUTINGS_NEEDED:]
    missing = [why for outing in last for why in _missing_in(outing, limits)]
    if len(last) < OUTINGS_NEEDED:
        missing.append(_("One more outing like this.") if last else _("No outing yet."))
        return SettledResult(False, missing=tuple(dict.fromkeys(missing)))
    alike, words, by_word = like_pace(last[0], last[1], limits)
    if not alike:
        missing.append(words)
    because = (
        _("clean tyre"),
        _("travel used within its band"),
        _("no complaint"),
        words,
    )
    done = not missing
    return SettledResult(done, because if done else (), tuple(dict.fromkeys(missing)), by_word)


def _missing_in(outing: OutingRecord, limits: Limits) -> list[str]:
    """Why one outing does not count, in words."""
    found: list[str] = []
    if outing.clean_tyre is not True:
        found.append(
            _("Look at the tyre.") if outing.clean_tyre is None else _("The tyre is not clean.")
        )
    if outing.complaint is not False:
        found.append(
            _("Ask the rider.") if outing.complaint is None else _("The rider has a complaint.")
        )
    if not outing.travels and not outing.travel_questions:
        found.append(_("Read the travel ring."))
    found += outing.travel_questions
    for travel in outing.travels:
        if travel_state(travel, limits) != "right":
            low, high = limits.travel_band(travel.end)
            share = travel.used_mm / travel.usable_mm
            found.append(
                _(
                    "{end}: {share:.0%} of travel used, not {low:.0%} to {high:.0%}.",
                    end=END_WORDS[travel.end],
                    share=share,
                    low=low,
                    high=high,
                )
            )
    return found


def like_pace(before: OutingRecord, after: OutingRecord, limits: Limits) -> tuple[bool, str, bool]:
    """Whether two outings were at like pace, in words, and whether only the rider says so.

    Clean medians within the limit (1 s), else what the rider says.
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
