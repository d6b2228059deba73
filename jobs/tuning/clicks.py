"""Counting clicks: out from fully closed, unless the adjuster is counted otherwise.

A number of clicks needs its origin: with 20 clicks in all, 12 out from closed is 8 in from
open. Common practice, no source.
"""

from .argument_checks import checked
from .refusal import Refused, number, one_of, within
from .terms import Firming, Origin
from .words import _


@checked
def out_from_closed(*, position: float, origin: str, counted_range: float) -> float:
    """A position counted from either end, as clicks out from fully closed.

    ``counted_range``: clicks from closed to open, counted on this adjuster. Refused for an
    origin that is neither end (a mark, a measured length).

    >>> out_from_closed(position=8, origin="open", counted_range=20)
    12.0
    """
    total = within(counted_range, 1, 100, what=_("counted range"))
    given = number(position, _("position"))
    if origin not in (Origin.CLOSED, Origin.OPEN):
        raise Refused(_("This adjuster is not counted from an end: read it as it is marked."))
    if not 0 <= given <= total:
        raise Refused(
            _(
                "{given:g} lies outside the {total:g} clicks counted on this adjuster. Was it "
                "counted from the other end?",
                given=given,
                total=total,
            )
        )
    return total - given if origin == Origin.OPEN else given


@checked
def position_after(
    *, position: float, steps: float, firmer: bool, firming: str, lowest: float, highest: float
) -> float:
    """The position of an adjuster after ``steps`` firmer or softer. Refused past its ends.

    ``firming`` says which way its number moves when it is made firmer.

    >>> position_after(position=12, steps=3, firmer=True, firming="down", lowest=0, highest=20)
    9.0
    """
    size = number(steps, _("steps"))
    way = one_of(firming, Firming, what=_("firming"))
    up = firmer == (way == Firming.UP)
    target = number(position, _("position")) + (size if up else -size)
    if not lowest <= target <= highest:
        raise Refused(
            _(
                "{steps:g} would pass the adjuster's end: it stands at {position:g} and reads "
                "{lowest:g} to {highest:g}. Never force an end.",
                steps=size,
                position=position,
                lowest=lowest,
                highest=highest,
            )
        )
    return target
