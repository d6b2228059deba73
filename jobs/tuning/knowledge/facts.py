"""What a condition may speak of: every fact, its states, and how to find it out.

Each state is a word with one meaning, so that a finding in a data file reads like the
sentence a tuner would say. The limits behind the words are in :mod:`.limits`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..terms import End
from ..words import _

PUSH_STATES = ("no_return", "very_slow", "slow", "normal", "fast", "bouncing")


@dataclass(frozen=True)
class Meaning:
    """One fact: the states it can have (empty: any word), and the check that tells."""

    states: tuple[str, ...]
    find_out: str
    of_end: bool = True


MEANINGS: Mapping[str, Meaning] = {
    "push": Meaning(PUSH_STATES, _("Push test on hot oil, within 5 minutes of the stop.")),
    "cold_push": Meaning(PUSH_STATES, _("Push test, marked cold.")),
    "rise": Meaning(
        ("small", "normal", "large"),
        _("Hot pressure within 2 minutes of the stop, and the cold one."),
    ),
    "pressure": Meaning(
        ("low", "right", "high"), _("Tyre pressure, against the tyre maker's range for that state.")
    ),
    "sag": Meaning(("small", "right", "large"), _("Sag with the rider in kit.")),
    "free_sag": Meaning(("none", "right", "large"), _("Free sag, without the rider.")),
    "stiction": Meaning(
        ("low", "some", "high"), _("Both sag readings: after a push, after a lift.")
    ),
    "travel": Meaning(("short", "right", "far", "end"), _("Travel ring: how far did it go?")),
    "rebound": Meaning(("closed", "mid", "open"), _("Count the rebound clicks.")),
    "compression": Meaning(("closed", "mid", "open"), _("Count the compression clicks.")),
    "preload": Meaning(("raised", "same", "reduced"), _("Was the preload changed today?")),
    "tyre": Meaning(("new", "same"), _("Is this tyre another model than before?")),
    "oil": Meaning(("cold", "warm", "hot"), _("How long ago did the bike stop?"), of_end=False),
    "laps": Meaning(("few", "enough"), _("How many laps were ridden?"), of_end=False),
    "fade": Meaning(("yes", "no"), _("Lap times: did the last laps get slower?"), of_end=False),
    "pace": Meaning(
        ("faster", "like", "slower"),
        _("Lap times against the reference, or the rider's word."),
        of_end=False,
    ),
    "weather": Meaning(("wet", "dry"), _("Was the track wet or dry?"), of_end=False),
    "track": Meaning(
        ("hotter", "like", "colder"), _("Track temperature, against the reference."), of_end=False
    ),
    # Other findings logged on the bike today, by code; always known.
    "also": Meaning((), "", of_end=False),
}


@dataclass(frozen=True)
class Known:
    """The states that hold for one fact (one; for ``also`` any number), said in words."""

    states: frozenset[str]
    words: str


@dataclass(frozen=True)
class Facts:
    """What is known of one bike now, per fact and end; and what to do about the rest."""

    known: Mapping[tuple[str, End | None], Known] = field(default_factory=dict)
    # Where more can be said than "measure it": a warm push test says "check hot first".
    missing: Mapping[tuple[str, End | None], str] = field(default_factory=dict)

    def get(self, fact: str, end: End | None) -> Known | None:
        return self.known.get((fact, end if MEANINGS[fact].of_end else None))

    def find_out(self, fact: str, end: End | None) -> str:
        """The quick check that would make this fact known."""
        said = self.missing.get((fact, end))
        words = said or MEANINGS[fact].find_out
        if end is None or not MEANINGS[fact].of_end:
            return words
        return _("{end}: {check}", end=END_WORDS[end], check=words)


END_WORDS: Mapping[End, str] = {End.FRONT: _("Front"), End.REAR: _("Rear")}
