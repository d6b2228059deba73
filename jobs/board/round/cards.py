"""The task in hand, made ready to enter: cells for numbers, rows for points."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from jobs.advice.selectors import changes_unexpected
from jobs.garage import words
from jobs.garage.enums import End, Function
from jobs.people.models import Business
from jobs.setups import saying
from jobs.setups.enums import Phase, ReadingKind, Subject
from jobs.setups.measures import MEASURES, Measure
from jobs.setups.selectors import standings_of_entry
from jobs.setups.stops import last_stop
from jobs.tuning.units import symbol_of
from jobs.worklist.enums import Cadence, ItemKind, Point
from jobs.worklist.rounds import Step

from ..asked import Asked, due_of
from ..cells import STEPS, before_of, most_of, unit_of
from ..day.venue import Sketch, sketch_of


@dataclass(frozen=True)
class Cell:
    """One number to enter. ``before`` is what it was the last time, with its unit; ``most``
    of whole numbers only: what it can be at most, so that its last digit is known."""

    name: str
    label: str
    unit: str
    step: str
    value: str
    before: str = ""
    most: str = ""


@dataclass(frozen=True)
class CellGroup:
    """The cells of one reading, or of one end's adjusters."""

    title: str
    cells: list[Cell]


@dataclass(frozen=True)
class PointRow:
    code: str
    text: str
    found: str


@dataclass(frozen=True)
class Card:
    """The task in hand with what was entered so far (``posted``)."""

    step: Step
    groups: list[CellGroup] = field(default_factory=list)
    points: list[PointRow] = field(default_factory=list)
    posted: Mapping[str, str] = field(default_factory=dict)
    sketch: Sketch | None = None  # where a corner is asked for
    phases: list[tuple[str, str]] = field(default_factory=list)
    unexpected: list[str] = field(default_factory=list)  # today's changes nothing is expected of
    due: list[Asked] = field(default_factory=list)  # what the bike came back to tell

    @property
    def asks_words(self) -> bool:
        return self.step.task.item.kind == ItemKind.WORDS

    @property
    def lacks_adjusters(self) -> bool:
        """A count with nothing to count, as on a walk-up's bike."""
        return self.step.task.item.kind == ItemKind.COUNT and not self.groups

    @property
    def asks_photo(self) -> bool:
        """Where the photo is the task; a failed point may carry one."""
        return self.step.task.item.kind == ItemKind.PHOTO

    @property
    def subjects(self) -> list[tuple[str, str]]:
        """What it may show; a tyre only where the item says which end."""
        end = self.step.task.item.end
        return [(s.value, str(s.label)) for s in Subject if end or s != Subject.TYRE]

    @property
    def asks_wheel(self) -> bool:
        item = self.step.task.item
        return item.cadence == Cadence.FOLLOW_UP and not self.done_on_sheet

    @property
    def done_on_sheet(self) -> bool:
        """Judging and orders are done where the book is; an order's item is not stored."""
        item = self.step.task.item
        return item.kind == ItemKind.JUDGE or item.pk is None


def card(step: Step, posted: Mapping[str, str] | None = None) -> Card:
    """The card of one task; ``posted`` is what a refused form held."""
    given = posted or {}
    item = step.task.item
    groups: list[CellGroup] = []
    if item.kind == ItemKind.READING:
        groups = _reading_groups(step, given)
    elif item.kind == ItemKind.COUNT:
        groups = _count_groups(step, given)
    return Card(
        step=step,
        groups=groups,
        points=[
            PointRow(p["code"], p["text"], given.get(f"point-{p['code']}", "")) for p in item.points
        ],
        posted=given,
        sketch=sketch_of(step.task.entry.trackday.venue) if item.kind == ItemKind.WORDS else None,
        phases=[(value, str(label)) for value, label in Phase.choices],
        unexpected=_unexpected(step),
        due=due_of(step.task.entry, last_stop(step.bike.where, step.at))
        if step.bike.to_judge
        else [],
    )


def _unexpected(step: Step) -> list[str]:
    """Named at the checks before a bike rolls, and never in their way."""
    item = step.task.item
    if not (item.safety and item.cadence == Cadence.BEFORE):
        return []
    return [saying.adjustment_short(row) for row in changes_unexpected(step.task.entry)]


def _reading_groups(step: Step, given: Mapping[str, str]) -> list[CellGroup]:
    entry = step.task.entry
    business = Business.objects.first() or Business()
    before = before_of(entry.bike_id, {asked["kind"] for asked in step.task.item.readings})
    groups = []
    for number, asked in enumerate(step.task.item.readings):
        kind, end = asked["kind"], asked.get("end", "")
        title = f"{End(end).label} {ReadingKind(kind).label}" if end else ReadingKind(kind).label
        cells = [
            _cell(f"reading-{number}-{m.name}", m, business, given, before.get((kind, end, m.name)))
            for m in MEASURES[kind]
            if not m.repeated and m.name not in ("brake", "reset")
        ]
        groups.append(CellGroup(title[:1].upper() + title[1:], cells))
    return groups


def _cell(
    name: str, measure: Measure, business: Business, given: Mapping[str, str], before: str | None
) -> Cell:
    unit = unit_of(measure, business)
    return Cell(
        name=name,
        label=str(measure.words),
        unit="" if unit == "count" else symbol_of(unit),
        step=STEPS.get(unit, "1"),
        value=given.get(name, ""),
        before=before or "",
        most=most_of(measure, unit),
    )


def _count_groups(step: Step, given: Mapping[str, str]) -> list[CellGroup]:
    """One cell an adjuster; what the book says is written beside, never filled in."""
    by_end: dict[str, list[Cell]] = {}
    for standing in standings_of_entry(step.task.entry):
        adjuster = standing.adjuster
        if not adjuster.usable or adjuster.function == Function.TYRE_PRESSURE:
            continue  # a pressure is read with a gauge, not counted
        name = f"count-{adjuster.pk}"
        book = _("book: %(at)s") % {"at": standing.now_words} if standing.row else ""
        cell = Cell(
            name,
            standing.name,
            str(adjuster.get_unit_display()),
            words.plain(adjuster.step),
            given.get(name, ""),
            book,
        )
        by_end.setdefault(adjuster.end, []).append(cell)
    return [CellGroup(str(End(end).label).capitalize(), cells) for end, cells in by_end.items()]


def point_choices() -> list[tuple[str, str]]:
    return [(point.value, str(point.label)) for point in Point]
