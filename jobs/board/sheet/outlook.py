"""What the panel of an adjuster says should be seen next time: the ring, the sag, a hot push."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from jobs.advice.selectors import (
    PushOutlook,
    RingOutlook,
    preload_steps,
    push_outlook_of,
    ring_outlook_of,
)
from jobs.calculators.ring_drawing import outlook_drawing
from jobs.garage import words
from jobs.garage.models import Adjuster
from jobs.setups.selectors import Standing
from jobs.trackday.models import Entry
from jobs.tuning.outlook import Visible

Move = tuple[Adjuster, Decimal | None, Decimal | None]


@dataclass(frozen=True)
class ChangeOutlook:
    """What is told of one change, or refused by name, as one drawing with its sentences."""

    ring: RingOutlook | None
    push: PushOutlook | None
    picture: SafeString
    kept_words: str = ""

    @property
    def sentence(self) -> str:
        """What should be seen, ready to be tapped; empty where nothing is told."""
        if self.ring and self.ring.told:
            return self.ring.sentence
        return self.push.expected if self.push and self.push.told else ""

    @property
    def outings(self) -> str:
        """How many outings would settle a doubt that the sentence leaves; else empty."""
        told = self.ring.told if self.ring else None
        if told is None or told.visibility.visible != Visible.TOO_SMALL:
            return ""
        if not told.visibility.outings:
            return _("No number of outings would show it in the ring.")
        return _("To see it in the ring: %(n)d outings before and %(n)d after.") % {
            "n": told.visibility.outings
        }

    @property
    def refused(self) -> list[str]:
        found = (one.refused for one in (self.ring, self.push) if one)
        return [words for words in found if words]

    @property
    def rests_on(self) -> list[str]:
        cautions = self.ring.told.cautions if self.ring and self.ring.told else ()
        learned = [self.push.rests_on] if self.push and self.push.told else []
        return [*map(str, cautions), *learned]


def change_outlook(
    entry: Entry, moves: Sequence[Move], preloads: Sequence[Standing] = ()
) -> ChangeOutlook | None:
    """The outlook of moves about to be made; None where nothing can be said of them.

    ``preloads``: the preload adjusters of the same end, to say in their unit what keeps the sag.
    """
    ring = ring_outlook_of(entry, moves)
    push = push_outlook_of(entry, moves)
    if ring is None and push is None:
        return None
    picture = outlook_drawing(entry.bike, ring, push)
    return ChangeOutlook(ring, push, picture, _kept_words(ring, preloads))


def moved_by(standings: Sequence[Standing], by: Decimal | None) -> list[Move]:
    """The moves of adjusters that are all moved by as much; none where they are not moved."""
    if not by:
        return []
    return [
        (one.adjuster, one.position, one.position + by)
        for one in standings
        if one.position is not None
    ]


def preload_with_springs(
    legs: Sequence[Standing], told: ChangeOutlook | None, chosen: Decimal | None
) -> dict[str, Any]:
    """The preload beside a spring, with the step that keeps the rider's sag among its steps."""
    if not legs or any(leg.position is None for leg in legs):
        return {}
    step = legs[0].adjuster.step
    offered = {step * count for count in (-4, -2, 2, 4)}
    kept = _kept_steps(told.ring if told else None, legs)
    offered |= {by for by in (kept, chosen) if by}
    choices = [(by, _by_words(legs[0], by, kept)) for by in sorted(offered)]
    return {"preload": legs, "preload_words": legs[0].now_words, "preload_steps": choices}


def _kept_steps(ring: RingOutlook | None, legs: Sequence[Standing]) -> Decimal | None:
    """How far the preload adjusters turn to keep the sag, in whole steps; None: not known."""
    if ring is None or ring.kept is None:
        return None
    return preload_steps(legs[0].adjuster, ring.kept.preload_mm)


def _kept_words(ring: RingOutlook | None, legs: Sequence[Standing]) -> str:
    if ring is None or ring.kept is None:
        return ""
    kept, by = ring.kept, _kept_steps(ring, legs) if legs else None
    turned = "" if by is None else f" ({_signed(legs[0].adjuster, by)})"
    return _("With the rider's sag kept: preload %(preload)s mm%(turned)s, ring %(moves)s mm.") % {
        "preload": f"{kept.preload_mm:+.1f}".replace("-", "−"),
        "turned": turned,
        "moves": f"{kept.ring_moves_mm:+.0f}".replace("-", "−"),
    }


def _by_words(leg: Standing, by: Decimal, kept: Decimal | None) -> str:
    said = _signed(leg.adjuster, by).split()[0]  # the unit stands above the buttons
    return _("%(by)s, sag kept") % {"by": said} if by == kept else said


def _signed(adjuster: Adjuster, by: Decimal) -> str:
    return ("+" if by > 0 else "−") + words.amount(adjuster, abs(by))
