"""The form of the task in hand: cells for numbers, rows for the points of a check."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from jobs.advice.selectors import changes_unexpected
from jobs.garage import words
from jobs.garage.enums import End, Function
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.setups import sentences
from jobs.setups.enums import Phase, Subject
from jobs.setups.measures import COUNT, Measure, Switch, unit_shown
from jobs.setups.reading_kinds import ReadingKind, reading_kind
from jobs.setups.selectors import readings_of_entry, standings_of_entry
from jobs.setups.stops import last_stop
from jobs.trackday import clock
from jobs.tuning.units import symbol_of
from jobs.tuning.words import Words
from jobs.worklist.book_facts import still_asked
from jobs.worklist.derive import Task
from jobs.worklist.enums import Cadence, ItemKind, Point
from jobs.worklist.models import ChecklistItem
from jobs.worklist.rounds import RoundTask

from ..cells import (
    LastValue,
    LastValues,
    before_of,
    most_of,
    places_of,
    ranges_of,
    step_of,
    swaps_of,
)
from ..day.venue import Sketch, sketch_of
from ..pending_judgements import PendingJudgement, due_judgements
from ..picks import is_tapped, picks_of
from ..said_before import said_before
from .maker_ranges import maker_range_words
from .number_cells import Cell, CellGroup, CellTable, cell_tables


@dataclass(frozen=True)
class PointOfCheck:
    code: str
    text: str
    found: str


@dataclass(frozen=True)
class TaskCard:
    """The task in hand with what was entered so far (``posted``)."""

    step: RoundTask
    groups: list[CellGroup] = field(default_factory=list)
    tables: list[CellTable] = field(default_factory=list)  # of the numbers read
    maker_ranges: str = ""  # what the maker of the tyres says, where a pressure is read
    units: dict[str, str] = field(default_factory=dict)  # of the cells, by quantity
    known: list[str] = field(default_factory=list)  # what is read or counted already, as sentences
    points: list[PointOfCheck] = field(default_factory=list)
    posted: Mapping[str, str] = field(default_factory=dict)
    said_before: list[str] = field(default_factory=list)  # booked for, or said earlier today
    sketch: Sketch | None = None  # where a corner is asked for
    phases: list[tuple[str, str]] = field(default_factory=list)
    changes_without_expectation: list[str] = field(
        default_factory=list
    )  # today's changes nothing is expected of
    due: list[PendingJudgement] = field(default_factory=list)  # what the bike came back to tell

    @property
    def asks_numbers(self) -> bool:
        """Some number is typed, not behind "By the stopwatch": the keypad stands beside it."""
        return any(group.numbers for group in self.groups)

    @property
    def asks_words(self) -> bool:
        return self.step.task.item.kind == ItemKind.WORDS

    @property
    def asks_pace(self) -> bool:
        """There is an outing before to compare with."""
        stop = last_stop(self.step.bike.where, self.step.at)
        return stop is not None and stop.outings > 1

    @property
    def lacks_adjusters(self) -> bool:
        """A count with nothing to count, as on a walk-up's bike."""
        return self.step.task.item.kind == ItemKind.COUNT and not self.groups and not self.known

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
        """Judgements and orders are done on the bike sheet; the item of an order is not stored."""
        item = self.step.task.item
        return item.kind == ItemKind.JUDGE or item.pk is None


def card(step: RoundTask, posted: Mapping[str, str] | None = None) -> TaskCard:
    """The card of one task; ``posted`` is what a refused form held."""
    given = posted or {}
    item = step.task.item
    groups: list[CellGroup] = []
    cell_units: dict[str, str] = {}
    known: list[str] = []
    ranges = ""
    if item.kind == ItemKind.READING:
        business = business_get()
        cell_units = units_of(item, given, business)
        kinds = {asked["kind"] for asked in item.readings}
        before = before_of(step.task.entry.bike_id, kinds)
        groups = reading_groups(step.task, given, cell_units, business, before)
        ranges = maker_range_words(item, step.task.entry.bike_id, cell_units)
        known = _read_already(step)
    elif item.kind == ItemKind.COUNT:
        groups, known = _count_groups(step, given)
    return TaskCard(
        step=step,
        groups=groups,
        tables=cell_tables(groups) if item.kind == ItemKind.READING else [],
        maker_ranges=ranges,
        units=cell_units,
        known=known,
        points=[
            PointOfCheck(p["code"], str(Words(p["text"])), given.get(f"point-{p['code']}", ""))
            for p in item.points
        ],
        posted=given,
        said_before=said_before(step.task.entry) if item.kind == ItemKind.WORDS else [],
        sketch=sketch_of(step.task.entry.trackday.venue) if item.kind == ItemKind.WORDS else None,
        phases=[(value, str(label)) for value, label in Phase.choices],
        changes_without_expectation=_changes_without_expectation(step),
        due=due_judgements(step.task.entry, last_stop(step.bike.where, step.at))
        if step.bike.to_judge
        else [],
    )


def _changes_without_expectation(step: RoundTask) -> list[str]:
    """Today's changes without an expectation. They are named at the safety checks before a
    session and never prevent a tick."""
    item = step.task.item
    if not (item.safety and item.cadence == Cadence.BEFORE):
        return []
    return [sentences.adjustment_short(row) for row in changes_unexpected(step.task.entry)]


def units_of(item: ChecklistItem, given: Mapping[str, str], business: Business) -> dict[str, str]:
    """The unit of every quantity asked for; it is sent with the numbers typed in it."""
    found = {}
    for asked in item.readings:
        for number in reading_kind(asked["kind"]).numbers:
            found[number.quantity] = unit_shown(number.quantity, given, business)
    return found


def reading_groups(
    task: Task,
    given: Mapping[str, str],
    cell_units: Mapping[str, str],
    business: Business,
    before: LastValues,
) -> list[CellGroup]:
    """The cells and taps of what a task still asks for; ``before``: the bike's last values."""
    groups = []
    for number, asked in still_asked(task.item, task.read):
        kind, end = reading_kind(asked["kind"]), asked.get("end", "")
        title = f"{End(end).label} {kind.label}" if end else str(kind.label)
        cells = [
            _cell(
                f"reading-{number}-{measure.name}",
                kind,
                end,
                measure,
                cell_units,
                given,
                before.get((kind.name, end, measure.name)),
            )
            for measure in kind.measures
            if measure.on_round and not is_tapped(measure)
        ]
        name = f"reading-{number}-place"
        places = [
            pick for pick in places_of(kind, business, given.get(name, "")) if pick.end == end
        ]
        title = title[:1].upper() + title[1:]
        groups.append(
            CellGroup(
                title=title,
                cells=[cell for cell in cells if not cell.further],
                kind=f"{kind.name} {asked.get('tyre_state', '')}",
                end=end,
                caution=str(kind.caution),
                places=places,
                places_name=name,
                picks=picks_of(kind, given, f"reading-{number}-"),
                further=[cell for cell in cells if cell.further],
            )
        )
    return groups


def _cell(
    name: str,
    kind: ReadingKind,
    end: str,
    measure: Measure,
    cell_units: Mapping[str, str],
    given: Mapping[str, str],
    before: LastValue | None,
) -> Cell:
    value = given.get(name, "")
    if isinstance(measure, Switch):
        return Cell(name, str(measure.on), value, switch=True)
    unit = cell_units[measure.quantity]
    symbol = "" if unit == COUNT else symbol_of(unit)
    label = f"{End(end).label} {measure.words}" if end else str(measure.words)
    head = str(measure.head or measure.words)
    return Cell(
        name=name,
        label=label[:1].upper() + label[1:],
        value=value,
        head=f"{head}, {symbol}" if symbol else head,
        unit=symbol,
        step=step_of(measure, unit),
        before=str(before or ""),
        was=(words.plain(before.value) if before.unit == unit else str(before)) if before else "",
        starts_at=before.in_unit(unit, measure.quantity) if before else "",
        most=most_of(measure, unit),
        further=measure.further,
        quantity=measure.quantity,
        ranges=ranges_of(measure),
        swaps=swaps_of(kind.name, measure),
    )


def _read_already(step: RoundTask) -> list[str]:
    """What was read for this task, on the sheet or elsewhere. Two queries if there is any."""
    if not step.task.read:
        return []
    trackday = step.task.entry.trackday
    read = {(fact.what, fact.end, fact.tyre_state, fact.done_at): fact for fact in step.task.read}
    return [
        f"{sentences.reading(row)} {fact.by}, {clock.local(trackday, row.done_at):%H:%M}"
        for row in readings_of_entry(step.task.entry)
        if (fact := read.get((row.kind, row.end, row.tyre_state, row.done_at)))
    ]


def _count_groups(step: RoundTask, given: Mapping[str, str]) -> tuple[list[CellGroup], list[str]]:
    """One cell for each adjuster not counted yet, and what is counted already.

    The position in the book is shown beside a cell, never filled in.
    """
    counted = {fact.adjuster_id: fact for fact in step.task.read}
    by_end: dict[str, list[Cell]] = {}
    known = []
    for standing in standings_of_entry(step.task.entry):
        adjuster = standing.adjuster
        if not adjuster.usable or adjuster.function == Function.TYRE_PRESSURE:
            continue  # a pressure is read with a gauge, not counted
        if adjuster.pk in counted:
            known.append(f"{standing.full_name}: {standing.now_words}.")
            continue
        name = f"count-{adjuster.pk}"
        low, high = words.end_words(adjuster)
        book = _("book: %(at)s") % {"at": standing.now_words} if standing.row else ""
        cell = Cell(
            name=name,
            label=standing.full_name,
            value=given.get(name, ""),
            head=standing.name,
            unit=str(adjuster.get_unit_display()),
            step=words.plain(adjuster.step),
            before=book,
            range_words=_("%(low)s to %(high)s") % {"low": low, "high": high},
            starts_at=book,
        )
        by_end.setdefault(adjuster.end, []).append(cell)
    groups = [
        CellGroup(str(End(end).label).capitalize(), cells, end=end) for end, cells in by_end.items()
    ]
    return groups, known


def point_choices() -> list[tuple[str, str]]:
    """What is tapped of a point. One that nobody taps is not checked."""
    return [(point.value, str(point.label)) for point in (Point.PASS, Point.FAIL)]
