"""What of a reading is tapped: values of a number, and switches of which one is on."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.setups.measures import Measure, Number, Switch
from jobs.setups.reading_kinds import ReadingKind


@dataclass(frozen=True)
class Picks:
    """One row of taps: the name of its field, its words, what may be tapped, what is."""

    name: str
    label: str
    taps: list[tuple[str, str]]
    value: str


def picks_of(kind: ReadingKind, given: Mapping[str, str], prefix: str = "") -> list[Picks]:
    """The rows of taps of a kind of reading, groups of switches first."""
    groups = [
        Picks(
            name=prefix + group,
            label=str(label),
            taps=[
                (one.name, str(one.tap))
                for one in kind.measures
                if isinstance(one, Switch) and one.group == group
            ],
            value=str(given.get(prefix + group) or ""),
        )
        for group, label in kind.groups.items()
    ]
    numbers = [
        Picks(
            name=prefix + one.name,
            label=str(one.words),
            taps=[(value, str(words)) for value, words in one.taps],
            value=str(given.get(prefix + one.name) or ""),
        )
        for one in kind.numbers
        if one.taps
    ]
    return [*groups, *numbers]


def is_tapped(measure: Measure) -> bool:
    """Whether a measure stands among the picks and has no cell of its own."""
    if isinstance(measure, Number):
        return bool(measure.taps)
    return bool(measure.group)
