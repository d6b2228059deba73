"""Rows of the setup book as sentences that a rider can read."""

from collections.abc import Iterable, Sequence
from functools import cache

from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import OilState, TravelPlace
from jobs.tuning.oil import ViscosityRatio, cold_to_hot
from jobs.tuning.units import symbol_of

from .enums import Phase, RowKind
from .measures import Measure, Number, Switch
from .models import Adjustment, Finding, Judgement, Measurement, Order, Reading
from .reading_kinds import ReadingKind, reading_kind


def adjustment(row: Adjustment, *, both: bool = False) -> str:
    """ "Rear rebound from 14 to 11 out: 3 clicks firmer."; ``both`` speaks of both legs."""
    name = words.pair_name(row.adjuster) if both else words.adjuster_name(row.adjuster)
    said = {
        "adjuster": name,
        "from": words.position_short(row.adjuster, row.from_position),
        "to": words.position_short(row.adjuster, row.to_position),
        "moved": words.difference(row.adjuster, row.from_position, row.to_position),
    }
    if row.kind == RowKind.CHANGE:
        return _("%(adjuster)s from %(from)s to %(to)s: %(moved)s.") % said
    if row.from_position is None or row.from_position == row.to_position:
        return _("%(adjuster)s counted: %(to)s.") % said
    return _("%(adjuster)s found at %(to)s; the book said %(from)s.") % said


def moved_alike(act: Sequence[Adjustment] | Sequence[Order]) -> bool:
    """Whether the rows are both legs of a pair, moved between the same positions."""
    ways = {(row.adjuster.pair, row.from_position, row.to_position) for row in act}
    return len(act) > 1 and len(ways) == 1 and act[0].adjuster.pair is not None


def order(act: Sequence[Order]) -> str:
    """ "Front rebound, both legs from 14 out to 12 out: 2 clicks firmer."; the legs as one."""
    both = moved_alike(act)
    name = words.pair_name if both else words.adjuster_name
    return " ".join(
        _("%(adjuster)s from %(from)s to %(to)s: %(moved)s.")
        % {
            "adjuster": name(row.adjuster),
            "from": words.position_short(row.adjuster, row.from_position),
            "to": words.position_short(row.adjuster, row.to_position),
            "moved": words.difference(row.adjuster, row.from_position, row.to_position),
        }
        for row in (act[:1] if both else act)
    )


def adjustment_short(row: Adjustment) -> str:
    """ "rear rebound 14 to 11": a change named within a sentence."""
    name = words.adjuster_name(row.adjuster)
    return _("%(adjuster)s %(from)s to %(to)s") % {
        "adjuster": words.within(name),
        "from": "–" if row.from_position is None else words.plain(row.from_position),
        "to": words.plain(row.to_position),
    }


def adjustment_aside(row: Adjustment) -> str:
    """The details shown beside a change: oil, reason, order, read back, counts that disagree."""
    parts = [
        _oil_with_reason(row),
        row.reason or (_("no reason given") if row.kind == RowKind.CHANGE else ""),
        row.step_reason,
        _("second change on this end: %(why)s") % {"why": row.second_reason}
        if row.second_reason
        else "",
        _("ordered by %(who)s") % {"who": row.order.by} if row.order else "",
        _read_back(row),
        _second_count(row),
        _("turned by %(who)s") % {"who": row.turned_by} if row.turned_by else "",
        _("placed by %(who)s") % {"who": row.placed_by} if row.placed_by else "",
        row.unplaced_why if row.state == "unplaced" else "",
    ]
    return _joined(parts)


def _oil_with_reason(row: Adjustment) -> str:
    """The oil; where a person overruled what the stop says, why."""
    said = oil_words(row.oil_state)
    return f"{said} ({row.oil_reason})" if said and row.oil_reason else said


def oil_words(state: str) -> str:
    return _("oil %(state)s") % {"state": OilState(state).label} if state else ""


def push_oil_words(state: str) -> str:
    """The oil of a push test; where it was not hot, why that push sets no rebound."""
    said = oil_words(state)
    if not said or state == OilState.HOT:
        return said
    ratio = _cold_oil()
    return _(
        "%(oil)s, cold %(low).1f–%(high).1f times as thick as hot: on track it comes up quicker; "
        "not for setting rebound"
    ) % {
        "oil": said,
        "low": ratio.low,
        "high": ratio.high,
    }


@cache
def _cold_oil() -> ViscosityRatio:
    """A usual damper oil, cold against hot: sources in ``jobs/tuning/oil.py``."""
    return cold_to_hot()


def _read_back(row: Adjustment) -> str:
    if row.kind != RowKind.CHANGE:
        return ""
    if row.read_back is None:
        return _("not read back")
    return _("read back %(position)s by %(who)s") % {
        "position": words.position_short(row.adjuster, row.read_back),
        "who": row.read_back_by,
    }


def _second_count(row: Adjustment) -> str:
    if row.second_count is None:
        return ""
    if abs(row.second_count - row.to_position) > row.adjuster.step:
        return _("unsure: the second count was %(count)s") % {
            "count": words.plain(row.second_count)
        }
    return _("counted twice")


def finding(row: Finding) -> str:
    """What the catalogue calls it, and the words as they were said."""
    name = row.title or ("" if row.words else row.code)
    said = f"“{row.words}”" if row.by_rider and row.words else row.words
    return ": ".join(part for part in (name, said) if part)


def finding_aside(row: Finding) -> str:
    return _joined([finding_where(row), _("the rider's words") if row.by_rider else ""])


def finding_where(row: Finding) -> str:
    """At which end, when in a corner, in which corner, where on the tyre."""
    return _joined([
        row.get_end_display() if row.end else "",
        Phase(row.phase).label if row.phase else "",
        row.corner,
        row.place,
    ])  # fmt: skip


def judgement(row: Judgement) -> str:
    return _("Expected “%(text)s”: %(verdict)s.") % {
        "text": row.expectation.text,
        "verdict": row.get_verdict_display(),
    }


def reading(row: Reading) -> str:
    """ "Rear tyre pressure 32.5 psi." """
    end = f"{row.get_end_display()} " if row.end else ""
    name = f"{end}{row.get_kind_display()}"
    said = " ".join([values(row.kind, row.measurements.all()), *_place(row)])
    return f"{name[:1].upper()}{name[1:]}: {said}."


def _place(row: Reading) -> list[str]:
    """Where it was taken, or that nobody said, where the kind asks for a place."""
    if row.place:
        return [str(TravelPlace(row.place).label)]
    asked = reading_kind(row.kind).places_to_choose(row.end)
    return [_("(nobody said where)")] if asked else []


def cold_push(row: Reading) -> str:
    """Why a push that was not hot sets no rebound, as a sentence; empty for anything else."""
    if row.oil_state == OilState.HOT:
        return ""
    said = oil_of_reading(row)
    return f"{said[:1].upper()}{said[1:]}." if said else ""


def oil_of_reading(row: Reading) -> str:
    """The oil of a reading that rebound is set by, and why it was overruled; else empty."""
    if not reading_kind(row.kind).sets_rebound:
        return ""
    said = push_oil_words(row.oil_state)
    return f"{said} ({row.oil_reason})" if said and row.oil_reason else said


def values(kind: str, measurements: Iterable[Measurement]) -> str:
    """The numbers as they were entered, each with its name and unit; switches in their words.

    The only number of a kind goes by the name of the kind.
    """
    rows, known = list(measurements), reading_kind(kind)
    if known.summary:
        return known.summary([row.canonical for row in rows if row.canonical is not None])
    named = len(known.measures) != 1
    return ", ".join(_measurement(known, row, named=named) for row in rows)


def short(kind: str, measurements: Iterable[Measurement]) -> str:
    """The numbers alone, for a table whose rows say what they are: "62 · 71 · 66 °C"."""
    rows, known = list(measurements), reading_kind(kind)
    if len(known.measures) == 1:
        return values(kind, rows)
    if known.in_table:
        by_name = {row.name: row.canonical for row in rows if row.canonical is not None}
        if said := known.in_table(by_name):
            return said
    by_unit: dict[str, list[str]] = {}
    worded = []
    for row in rows:
        measure = known.measure(row.name)
        if row.value is None:
            continue
        if isinstance(measure, Number) and measure.short:
            worded.append(measure.short % {"n": words.plain(row.value)})
        else:
            by_unit.setdefault(row.unit, []).append(words.plain(row.value))
    numbers = [
        "\N{NO-BREAK SPACE}".join([" · ".join(found), *_symbols(unit)])
        for unit, found in by_unit.items()
    ]
    return ", ".join([*numbers, *worded, *_switches_of_table(known, rows)])


def short_reading(row: Reading) -> str:
    """The numbers of one reading alone, with the place where its end has more than one."""
    place = _place(row) if reading_kind(row.kind).places_to_choose(row.end) else []
    return " ".join([short(row.kind, row.measurements.all()), *place])


def _switches_of_table(known: ReadingKind, rows: Iterable[Measurement]) -> list[str]:
    on = {row.name for row in rows if row.on}
    switches = (one for one in known.measures if isinstance(one, Switch))
    return [str(one.on) for one in switches if one.in_table and one.name in on]


def side_by_side(pressures: Iterable[Reading]) -> str:
    """ "27.5 / 32.5 psi": pressures of one wheel, the unit once where it is one."""
    entered = [one for reading in pressures for one in reading.entered("pressure")]
    if len({unit for _value, unit in entered}) != 1:
        return " / ".join(f"{words.plain(value)} {unit}" for value, unit in entered)
    return f"{' / '.join(words.plain(value) for value, _unit in entered)} {entered[0][1]}"


def _measurement(known: ReadingKind, row: Measurement, *, named: bool) -> str:
    measure = known.measure(row.name)
    if row.value is None:
        return _switch(measure, row.name, bool(row.on))
    name = measure.words if isinstance(measure, Number) else row.name
    number = " ".join([words.plain(row.value), *_symbols(row.unit)])
    return f"{name} {number}" if named else number


def _switch(measure: Measure | None, name: str, on: bool) -> str:
    if isinstance(measure, Switch):
        return str(measure.words(on))
    return _("%(name)s: yes") % {"name": name} if on else _("%(name)s: no") % {"name": name}


def _symbols(unit: str) -> list[str]:
    """The unit as it is written; a count has none."""
    return [] if unit == "count" else [symbol_of(unit)]


def reading_aside(row: Reading) -> str:
    since = (
        _("%(minutes)s min since the stop") % {"minutes": round(row.minutes_since_stop)}
        if row.minutes_since_stop is not None
        else ""
    )
    state = row.get_tyre_state_display() if row.tyre_state else ""
    gauge = str(row.gauge) if row.gauge else ""
    return _joined([state, oil_of_reading(row), since, gauge, row.note])


def _joined(parts: Iterable[object]) -> str:
    return " · ".join(str(part) for part in parts if part)
