"""What the next outing's ring should show after a change, and whether it can be seen at all.

``ring_shift`` says how far springs, preload and oil level move a ring; ``rings_that_count``
learns a rider's level and spread; ``rings_next`` is the band of the next reading; ``visible``
says whether the change can be seen in it, ``landed`` where the reading came. ``response`` is the
learned effect of clicks on a hot push, ``needed`` goes from an aim to a change.

A ring gives the peak load that pushed it there and nothing else: no braking, no bottoming, no
lap time. Bands are experience, not promises; the maker's limits stand before them.
"""

from .aims import Needed, PartForAim, nearest_parts, needed, parts_for
from .click_response import ClickPrior, PushPair, Response, response, seconds_next
from .end_spring import (
    EndChange,
    EndSpring,
    Usual,
    fork_change,
    fork_spring,
    preload_for_the_same_sag,
    shock_spring,
)
from .rings import PRIORS, Band, RingPrior, RingState, prior_of, rings_begin, rings_next, rings_seen
from .rings_in_the_book import (
    Circumstances,
    LeftOut,
    RingRead,
    RingsThatCount,
    Scatter,
    only_change_at_the_end,
    read_elsewhere,
    rings_that_count,
    scatter_of,
)
from .shifts import Shift, damping_shift, ring_shift, sag_shift_mm
from .telling import Outlook, expected_words, landed_words, outlook_of
from .verdicts import (
    Landed,
    Landing,
    Visibility,
    Visible,
    judged_by_the_ring,
    landed,
    visible,
)

__all__ = [
    "PRIORS",
    "Band",
    "Circumstances",
    "ClickPrior",
    "EndChange",
    "EndSpring",
    "Landed",
    "Landing",
    "LeftOut",
    "Needed",
    "Outlook",
    "PartForAim",
    "PushPair",
    "Response",
    "RingPrior",
    "RingRead",
    "RingState",
    "RingsThatCount",
    "Scatter",
    "Shift",
    "Usual",
    "Visibility",
    "Visible",
    "damping_shift",
    "expected_words",
    "fork_change",
    "fork_spring",
    "judged_by_the_ring",
    "landed",
    "landed_words",
    "nearest_parts",
    "needed",
    "only_change_at_the_end",
    "outlook_of",
    "parts_for",
    "preload_for_the_same_sag",
    "prior_of",
    "read_elsewhere",
    "response",
    "ring_shift",
    "rings_begin",
    "rings_next",
    "rings_seen",
    "rings_that_count",
    "sag_shift_mm",
    "scatter_of",
    "seconds_next",
    "shock_spring",
    "visible",
]
