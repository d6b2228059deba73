"""Rows of the book as sentences a rider could read."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import cache

from django.utils.translation import gettext as _

from jobs.garage import words
from jobs.garage.enums import OilState
from jobs.tuning.oil import ViscosityRatio, cold_to_hot
from jobs.tuning.units import symbol_of

from .enums import Phase, ReadingKind, RowKind
from .measures import measure
from .models import Adjustment, Finding, Judgement, Measurement, Order, Reading


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
    """Both legs of a pair, moved from and to the same place: told as one."""
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
        "adjuster": name[:1].lower() + name[1:],
        "from": "–" if row.from_position is None else words.plain(row.from_position),
        "to": words.plain(row.to_position),
    }


def adjustment_aside(row: Adjustment) -> str:
    """Oil, reason, order, read back, counts that disagree: what stands beside it, smaller."""
    parts = [
        oil_words(row.oil_state),
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


def oil_words(state: str) -> str:
    return _("oil %(state)s") % {"state": OilState(state).label} if state else ""


def push_oil_words(state: str) -> str:
    """The oil of a push test; where it was not hot, why that push sets no rebound."""
    said = oil_words(state)
    if not said or state == OilState.HOT:
        return said
    ratio = _cold_oil()
    return _(
        "%(oil)s, cold %(low).1f–%(high).1f times as thick as hot: not for setting rebound"
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
    return _joined([
        row.get_end_display() if row.end else "",
        Phase(row.phase).label if row.phase else "",
        row.corner,
        row.place,
        _("the rider's words") if row.by_rider else "",
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
    return f"{name[:1].upper()}{name[1:]}: {values(row.kind, row.measurements.all())}."


def cold_push(row: Reading) -> str:
    """Why a push that was not hot sets no rebound, as a sentence; empty for anything else."""
    if row.kind != ReadingKind.PUSH or row.oil_state in ("", OilState.HOT):
        return ""
    said = push_oil_words(row.oil_state)
    return f"{said[:1].upper()}{said[1:]}."


def values(kind: str, measurements: Iterable[Measurement]) -> str:
    """The numbers as they were entered, each with its name and unit."""
    rows = list(measurements)
    if kind == ReadingKind.LAPS:
        return laps([row.canonical for row in rows])
    if kind == ReadingKind.PRESSURE:
        return ", ".join(f"{words.plain(row.value)} {row.unit}" for row in rows)
    return ", ".join(_value(kind, row) for row in rows)


def short(kind: str, measurements: Iterable[Measurement]) -> str:
    """The numbers alone, for a table whose rows say what they are: "62 · 71 · 66 °C"."""
    rows = list(measurements)
    if kind == ReadingKind.PUSH:
        return _push(rows)
    if kind in (ReadingKind.PRESSURE, ReadingKind.LAPS) or not rows:
        return values(kind, rows)
    numbers = [words.plain(row.value) for row in rows if row.unit != "count"]
    return f"{' · '.join(numbers)}\N{NO-BREAK SPACE}{symbol_of(rows[0].unit)}"


def side_by_side(pressures: Iterable[Reading]) -> str:
    """ "27.5 / 32.5 psi": pressures of one wheel, the unit once where it is one."""
    rows = [row for reading in pressures for row in reading.measurements.all()]
    if len({row.unit for row in rows}) != 1:
        return " / ".join(f"{words.plain(row.value)} {row.unit}" for row in rows)
    return f"{' / '.join(words.plain(row.value) for row in rows)} {rows[0].unit}"


def _push(rows: list[Measurement]) -> str:
    """ "0.8 s, 2 swings", "stays down"."""
    said = {
        "seconds": _("%(n)s s"),
        "swings": _("%(n)s swings"),
        "peak": _("%(n)s mm"),
    }
    found = [said[row.name] % {"n": words.plain(row.value)} for row in rows if row.name in said]
    if any(row.name == "stays" and row.value for row in rows):
        found.append(_("stays down"))
    return ", ".join(found)


def _value(kind: str, row: Measurement) -> str:
    known = measure(kind, row.name)
    name = known.words if known else row.name
    if row.name == "reset":
        return _("ring put back")
    if row.name == "stays":
        return _("stays down")
    if row.name == "brake":
        return _("front brake held") if row.value else _("brake off")
    unit = "" if row.unit == "count" else f" {symbol_of(row.unit)}"
    return f"{name} {words.plain(row.value)}{unit}"


def laps(seconds: list[Decimal]) -> str:
    """ "8 laps, best 1:42.5"."""
    if not seconds:
        return _("no laps")
    return _("%(count)s laps, best %(best)s") % {
        "count": len(seconds),
        "best": lap_time(min(seconds)),
    }


def lap_time(seconds: Decimal) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes)}:{rest:04.1f}" if minutes else f"{rest:.1f}"


def reading_aside(row: Reading) -> str:
    since = (
        _("%(minutes)s min since the stop") % {"minutes": round(row.minutes_since_stop)}
        if row.minutes_since_stop is not None
        else ""
    )
    state = row.get_tyre_state_display() if row.tyre_state else ""
    oil = push_oil_words(row.oil_state) if row.kind == ReadingKind.PUSH else ""
    return _joined([state, oil, since, str(row.gauge) if row.gauge else "", row.note])


def _joined(parts: Iterable[object]) -> str:
    return " · ".join(str(part) for part in parts if part)
