"""The numbers that a card asks for, as tables: a row for each end, a column for each number."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from jobs.garage.enums import End

from ..cells import PlacePick
from ..picks import Picks

# More columns are too narrow for a thumb on a phone: they begin another table.
MOST_COLUMNS = 4


@dataclass(frozen=True)
class Cell:
    """One number to enter, or one switch.

    ``label`` names it where its row and column are not seen; ``head`` is enough in its column.
    ``before`` is what a number was the last time, with the unit it was entered in; ``was`` the
    same, without the unit where that is the cell's own; ``starts_at`` the same in the cell's
    unit, where the steppers begin. ``most`` of whole numbers only: what it can be at most, so
    that its last digit is known. ``range_words``: what can be counted, in words.
    """

    name: str
    label: str
    value: str
    head: str = ""
    unit: str = ""
    step: str = ""
    before: str = ""
    was: str = ""
    starts_at: str = ""
    most: str = ""
    switch: bool = False
    further: bool = False
    quantity: str = ""
    ranges: str = ""
    swaps: str = ""
    range_words: str = ""


@dataclass(frozen=True)
class CellGroup:
    """The cells of one reading, with its caution, or of one end's adjusters.

    ``kind`` and ``end``: which reading; ``places``: where it may have been taken, under the
    name ``places_name``.
    """

    title: str
    cells: list[Cell]
    kind: str = ""
    end: str = ""
    caution: str = ""
    places: list[PlacePick] = field(default_factory=list)
    places_name: str = ""
    picks: list[Picks] = field(default_factory=list)
    further: list[Cell] = field(default_factory=list)

    @property
    def numbers(self) -> list[Cell]:
        return [cell for cell in self.cells if not cell.switch]

    @property
    def switches(self) -> list[Cell]:
        return [cell for cell in self.cells if cell.switch]

    @property
    def asks_taps(self) -> bool:
        return bool(self.caution or self.places or self.picks or self.switches)


@dataclass(frozen=True)
class CellRow:
    """The cells of one end; None where this end has no such number to enter."""

    end: str
    cells: list[Cell | None]


@dataclass(frozen=True)
class CellTable:
    heads: list[str]
    rows: list[CellRow]


def cell_tables(groups: Iterable[CellGroup]) -> list[CellTable]:
    """Tables for the numbers of these readings, in their order."""
    tables: list[list[list[CellGroup]]] = []
    for alike in _by_kind(groups):
        columns = len(_heads(alike))
        beside = tables[-1] if tables else []
        taken = sum(len(_heads(other)) for other in beside)
        ends = {bool(group.end) for other in (*beside, alike) for group in other}
        if beside and len(ends) == 1 and taken + columns <= MOST_COLUMNS:
            beside.append(alike)
        else:
            tables.append([alike])
    return [_table(kinds) for kinds in tables]


def _by_kind(groups: Iterable[CellGroup]) -> list[list[CellGroup]]:
    found: dict[str, list[CellGroup]] = {}
    for group in groups:
        if group.numbers:
            found.setdefault(group.kind, []).append(group)
    return list(found.values())


def _heads(alike: Sequence[CellGroup]) -> list[str]:
    return list(dict.fromkeys(cell.head for group in alike for cell in group.numbers))


def _table(kinds: Sequence[Sequence[CellGroup]]) -> CellTable:
    ends = dict.fromkeys(group.end for alike in kinds for group in alike)
    rows = []
    for end in ends:
        cells: list[Cell | None] = []
        for alike in kinds:
            here = {c.head: c for group in alike if group.end == end for c in group.numbers}
            cells += [here.get(head) for head in _heads(alike)]
        rows.append(CellRow(str(End(end).label).capitalize() if end else "", cells))
    return CellTable([head for alike in kinds for head in _heads(alike)], rows)
