"""The facts that a condition may name: their states, and how to find them out.

Each state is a word with one meaning, so that a finding in a data file reads like a sentence
of a tuner. The limits between the states are in :mod:`.limits`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..cooling import FRESH_MINUTES, HOT_MINUTES
from ..terms import End
from ..words import _

PUSH_STATES = ("no_return", "very_slow", "slow", "normal", "fast", "bouncing")


@dataclass(frozen=True)
class FactKind:
    """One fact: its possible states (empty: any word), and the check that shows its state."""

    states: tuple[str, ...]
    find_out: str
    of_end: bool = True


_SURFACE = _(
    "Tyre temperatures left, centre and right, within {minutes} minutes of the stop.",
    minutes=FRESH_MINUTES,
)
FACT_KINDS: Mapping[str, FactKind] = {
    "push": FactKind(
        PUSH_STATES,
        _("Push test on hot oil, within {minutes} minutes of the stop.", minutes=HOT_MINUTES),
    ),
    "cold_push": FactKind(PUSH_STATES, _("Push test, marked cold.")),
    "rise": FactKind(
        ("small", "normal", "large"),
        _(
            "Hot pressure within {minutes} minutes of the stop, and the cold one.",
            minutes=FRESH_MINUTES,
        ),
    ),
    "pressure": FactKind(
        ("low", "right", "high"), _("Tyre pressure, against the tyre maker's range for that state.")
    ),
    "surface": FactKind(("low", "right", "high"), _SURFACE),
    "sides": FactKind(("alike", "apart"), _SURFACE),
    "centre": FactKind(("alike", "apart"), _SURFACE),
    "sag": FactKind(("small", "right", "large"), _("Sag with the rider in kit.")),
    "free_sag": FactKind(("none", "right", "large"), _("Free sag, without the rider.")),
    "stiction": FactKind(
        ("low", "some", "high"), _("Both sag readings: after a push, after a lift.")
    ),
    "travel": FactKind(("short", "right", "far", "end"), _("Travel ring: how far did it go?")),
    "rebound": FactKind(("closed", "mid", "open"), _("Count the rebound clicks.")),
    "compression": FactKind(("closed", "mid", "open"), _("Count the compression clicks.")),
    "preload": FactKind(("raised", "same", "reduced"), _("Was the preload changed today?")),
    "tyre": FactKind(("new", "same"), _("Is this tyre another model than before?")),
    "oil": FactKind(("cold", "warm", "hot"), _("How long ago did the bike stop?"), of_end=False),
    "laps": FactKind(("few", "enough"), _("How many laps were ridden?"), of_end=False),
    "fade": FactKind(("yes", "no"), _("Lap times: did the last laps get slower?"), of_end=False),
    "pace": FactKind(
        ("faster", "like", "slower"),
        _("Lap times against the reference, or the rider's word."),
        of_end=False,
    ),
    # Faster by what reopens a setup (about 3 s), by lap times; the rider's word does not say it.
    "pace_gain": FactKind(
        ("small", "large"), _("Lap times against the reference: how much faster?"), of_end=False
    ),
    "earlier_day": FactKind(
        ("yes", "no"), _("Was this bike here on an earlier day?"), of_end=False
    ),
    "weather": FactKind(("wet", "dry"), _("Was the track wet or dry?"), of_end=False),
    "track": FactKind(
        ("hotter", "like", "colder"), _("Track temperature, against the reference."), of_end=False
    ),
    # Other findings logged on the bike today, by code; always known.
    "also": FactKind((), "", of_end=False),
}


@dataclass(frozen=True)
class FactValue:
    """The state of one fact (of ``also`` any number of them), and the same in words."""

    states: frozenset[str]
    words: str


@dataclass(frozen=True)
class KnownFacts:
    """What is known of one bike now per fact and end, and how to find out the rest."""

    known: Mapping[tuple[str, End | None], FactValue] = field(default_factory=dict)
    # Where there is a better answer than "measure it": after a warm push test "check hot first".
    missing: Mapping[tuple[str, End | None], str] = field(default_factory=dict)

    def get(self, fact: str, end: End | None) -> FactValue | None:
        return self.known.get((fact, end if FACT_KINDS[fact].of_end else None))

    def find_out(self, fact: str, end: End | None) -> str:
        """The quick check that shows the state of this fact."""
        said = self.missing.get((fact, end))
        words = said or FACT_KINDS[fact].find_out
        if end is None or not FACT_KINDS[fact].of_end:
            return words
        return _("{end}: {check}", end=END_WORDS[end], check=words)


END_WORDS: Mapping[End, str] = {End.FRONT: _("Front"), End.REAR: _("Rear")}
