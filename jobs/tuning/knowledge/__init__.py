"""The knowledge: findings, their suspects, and the reasoning from one to the other.

Pure. The catalogue is data (``data/*.toml``); :func:`counsel` takes a bike as it stands and
what was seen on it, and gives explained suspects and at most one change per end.

The open form of a finding, one table a finding::

    [T9]
    title, ends, phases      what it is; ends ["both"] is the whole bike
    family                   where it is met, if the file does not say: tyre_wear, push_test ...
    see, check, step, next, worse, stop     the words for people
    sources, source_note, disagreement      codes of sources.toml; none: common practice
    [[T9.suspects]]          in order of likelihood: text, kinds, and
      when, unless           conditions any of which supports, or contradicts
      ask, check             a question whose yes supports; what to look at by hand
      say, do                words for the rider; a remedy that is no adjuster
      word_first             no change before the question was answered with no
    [[T9.steps]]             suspect it belongs to; function, direction, size, unit, end
      when, unless, after    what must hold, must not, and suspects to be ruled out first
      instead_of             only where these adjusters are proven or cannot be set
      expect                 what should move, with its sign
    [[T9.stops]]             text, action (hold or service), when (if readings can show it)

Conditions are written like ``front push slow or very_slow and travel short``; their
words are those of :mod:`.facts`. Push test is the hot one of this turnaround only.
"""

from .advising import counsel
from .bike import (
    Adjuster,
    Bike,
    Logged,
    Name,
    Observed,
    Past,
    Pressure,
    PushTest,
    Sag,
    Travel,
    Tried,
    Tyre,
)
from .catalogue import (
    FAMILIES,
    Catalogue,
    Direction,
    Finding,
    Good,
    Kind,
    Quantity,
    StopAction,
    Suspect,
)
from .facts import MEANINGS
from .limits import Limits
from .moving import Move
from .offering import change_words
from .plans import Counsel, EndPlan, NotOffered, Sort, Suggestion
from .reading import UNITS, finding_read
from .reopening import Now, Reference, Reopened, Trigger, reopened, track_line
from .rows import Fault, Misread
from .settling import Outing, Settled, like_pace, settled
from .shipped import shipped, with_own
from .weighing import Explained, Standing, Weighed
from .writing import finding_table, finding_write

__all__ = [
    "FAMILIES",
    "MEANINGS",
    "UNITS",
    "Adjuster",
    "Bike",
    "Catalogue",
    "Counsel",
    "Direction",
    "EndPlan",
    "Explained",
    "Fault",
    "Finding",
    "Good",
    "Kind",
    "Limits",
    "Logged",
    "Misread",
    "Move",
    "Name",
    "NotOffered",
    "Now",
    "Observed",
    "Outing",
    "Past",
    "Pressure",
    "PushTest",
    "Quantity",
    "Reference",
    "Reopened",
    "Sag",
    "Settled",
    "Sort",
    "Standing",
    "StopAction",
    "Suggestion",
    "Suspect",
    "Travel",
    "Tried",
    "Trigger",
    "Tyre",
    "Weighed",
    "change_words",
    "counsel",
    "finding_read",
    "finding_table",
    "finding_write",
    "like_pace",
    "reopened",
    "settled",
    "shipped",
    "track_line",
    "with_own",
]
