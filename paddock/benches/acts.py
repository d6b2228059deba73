"""Applying acts, compared with a bare insert and commit of the row of the same act."""

import json
import time
import uuid
from argparse import ArgumentParser
from collections.abc import Callable
from itertools import cycle
from typing import Any

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.acts.models import Act
from jobs.acts.services import act_apply
from jobs.trackday.models import Entry

from .bench_days import BenchDay, bench_database, bench_day

ROUNDS = 5


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--acts", type=int, default=500, help="acts of each kind")


def run(say: Callable[[str], None], *, acts: int, **options: Any) -> None:
    """Alternates short rounds of floor and door, so that a busy machine slows both."""
    with bench_database():
        day = bench_day(bikes=20)
        kinds = {"conditions": conditions(day), "finding": finding(day), "change": change(day)}
        floor = bare(day)
        each = max(acts // ROUNDS, 1)
        row = one_row(day)
        for name, kind in kinds.items():
            row(), floor()  # warm
            with CaptureQueriesContext(connection) as captured:
                kind()
            spent = {"kind": 0.0, "floor": 0.0, "row": 0.0}
            for _ in range(ROUNDS):
                spent["floor"] += _timed(floor, each)
                spent["kind"] += _timed(kind, each)
                spent["row"] += _timed(row, each)
            rate, floor_rate = (each * ROUNDS / spent[which] for which in ("kind", "floor"))
            say(
                f"{connection.vendor} {name:<10} {rate:6.0f} acts/s, bare insert and commit"
                f" {floor_rate:6.0f}/s, ratio {floor_rate / rate:.1f}; {len(captured)} statements,"
                f" a row read by the ORM is {spent['row'] / spent['floor']:.2f} of the floor"
            )


def one_row(day: BenchDay) -> Callable[[], None]:
    """One entry with its bike: what every statement of the ORM costs, about."""
    entries = Entry.objects.select_related("bike")

    def read() -> None:
        entries.get(pk=day.entries[0].pk)

    return read


def _timed(work: Callable[[], None], count: int) -> float:
    start = time.perf_counter()
    for _ in range(count):
        work()
    return time.perf_counter() - start


def bare(day: BenchDay) -> Callable[[], None]:
    """The floor: one row of the acts' table, raw SQL, one commit."""
    conditions(day)()
    act = Act.objects.filter(trackday=day.trackday)[0]
    quote = connection.ops.quote_name
    fields = Act._meta.concrete_fields
    names = ", ".join(quote(str(field.column)) for field in fields)
    marks = ", ".join("%s" for _ in fields)
    sql = f"INSERT INTO {quote(Act._meta.db_table)} ({names}) VALUES ({marks})"
    values = [_adapted(getattr(act, field.attname)) for field in fields]
    connection.ensure_connection()
    cursor = connection.cursor()

    def insert() -> None:
        with transaction.atomic():
            cursor.execute(sql, [_adapted(uuid.uuid4()), *values[1:]])

    return insert


def _adapted(value: Any) -> Any:
    if isinstance(value, dict):
        return json.dumps(value)
    if isinstance(value, uuid.UUID) and connection.vendor == "sqlite":
        return value.hex
    return value


def conditions(day: BenchDay) -> Callable[[], None]:
    payload = {"trackday": day.trackday.pk, "air_c": "18.5", "track_c": "27.0", "wet": False}
    return lambda: _apply(day, "conditions", payload)


def finding(day: BenchDay) -> Callable[[], None]:
    payload = {"entry": day.entries[0].pk, "words": "runs wide at the exit"}
    return lambda: _apply(day, "finding", payload)


def change(day: BenchDay) -> Callable[[], None]:
    """One click out and back again, on every bike in turn."""
    turns = cycle(
        (entry, from_position, to_position)
        for from_position, to_position in ((12, 11), (11, 12))
        for entry in day.entries
    )
    adjusters = {entry.pk: entry.bike.adjusters.all()[0].pk for entry in day.entries}
    for entry in day.entries:
        counts = [{"adjuster": adjusters[entry.pk], "position": "12"}]
        _apply(day, "count", {"entry": entry.pk, "counts": counts})

    def once() -> None:
        entry, start, end = next(turns)
        move = {"adjuster": adjusters[entry.pk], "from_position": start, "to_position": end}
        _apply(day, "change", {"entry": entry.pk, "moves": [move], "reason": "bench"})

    return once


def _apply(day: BenchDay, kind: str, payload: dict[str, Any]) -> None:
    act = act_apply(
        act_id=uuid.uuid4(), kind=kind, payload=payload, by=day.tuner, trackday=day.trackday
    )
    if act.outcome != "applied":
        raise RuntimeError(f"{kind}: {act.outcome}, {act.answer}")
