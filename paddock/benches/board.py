"""The day board, unchanged and cold, against the same rows by raw SQL joined to a string."""

import json
import time
from argparse import ArgumentParser
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any, cast

from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext

from jobs.board.day.views import fragment as board_fragment
from jobs.people.access import SignedIn
from jobs.people.models import User
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Trackday
from jobs.trackday.services import crew_join
from jobs.worklist.selectors import day_read
from jobs.worklist.selectors.day import _entries, _rows
from jobs.worklist.selectors.plans import plan_of, wishes_of
from jobs.worklist.services import checklists_load

from .bench_days import BenchDay, bench_database, bench_day

ROUNDS = 15


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--bikes", type=int, default=60)


def run(say: Callable[[str], None], *, bikes: int, **options: Any) -> None:
    """All in turn; of each the quickest round, which a busy machine disturbs least."""
    with bench_database():
        day = bench_day(bikes=bikes)
        _fill(day)
        trackday = Trackday.objects.select_related("venue").get(pk=day.trackday.pk)
        floor = _floor(trackday)
        page = _page(day.tuner, trackday)
        cold = _cold(page)
        cold()  # the first one makes the plan
        with CaptureQueriesContext(connection) as captured:
            cold()
        spent: dict[str, list[float]] = {name: [] for name in ("floor", "orm", "unchanged", "cold")}
        for _ in range(ROUNDS):
            spent["floor"].append(_timed(floor))
            spent["orm"].append(_timed(partial(_by_the_orm, trackday)))
            spent["cold"].append(_timed(cold))
            spent["unchanged"].append(_timed(page))
        base = min(spent["floor"])
        say(f"{connection.vendor}, {bikes} bikes, floor {base * 1000:.1f} ms")
        said = {
            "orm": "the same rows by the ORM, nothing made of them",
            "unchanged": "board unchanged",
            "cold": f"board cold, {len(captured)} queries",
        }
        for name, what in said.items():
            took = min(spent[name])
            say(f"{what:<46} {took * 1000:6.1f} ms, ratio {took / base:.1f}")


def _fill(day: BenchDay) -> None:
    """Default checklists, everybody arrived, ten in the morning."""
    file = Path(settings.BASE_DIR) / "fixtures" / "checklists.json"
    checklists_load(lists=json.loads(file.read_text()))
    crew_join(trackday=day.trackday, user=day.tuner)
    start = day.trackday.clock_anchor
    assert start is not None
    BikeMove.objects.bulk_create(
        BikeMove(entry=entry, move=Move.ARRIVED, at=start, by=day.tuner) for entry in day.entries
    )
    anchor = start.replace(hour=10)
    Trackday.objects.filter(pk=day.trackday.pk).update(clock_anchor=anchor, clock_set_at=anchor)


def _page(user: User, trackday: Trackday) -> Callable[[], None]:
    """The board as every open screen fetches it, without the server around it."""
    request = cast(SignedIn, RequestFactory().get("/"))
    request.user = user

    def once() -> None:
        assert board_fragment(request, trackday.pk).status_code == 200

    return once


def _cold(page: Callable[[], None]) -> Callable[[], None]:
    def once() -> None:
        cache.clear()
        page()

    return once


def _floor(trackday: Trackday) -> Callable[[], None]:
    """The very queries of the board, by a bare cursor, their rows joined to one string."""
    with CaptureQueriesContext(connection) as captured:
        day_read(trackday)
    statements = [query["sql"] for query in captured.captured_queries]
    connection.ensure_connection()

    def once() -> None:
        with closing(connection.connection.cursor()) as cursor:
            rows = [row for sql in statements for row in cursor.execute(sql).fetchall()]
        "\n".join(" ".join(map(str, row)) for row in rows)

    return once


def _by_the_orm(trackday: Trackday) -> None:
    """The rows of the day as models, nothing derived: below this no board of ours can go."""
    _rows(trackday, list(_entries(trackday)))
    list(trackday.sessions.select_related("group"))
    list(trackday.crew.select_related("user"))
    for rows in (trackday.delays, trackday.groups, trackday.conditions.filter(withdrawn_at=None)):
        list(rows.all())
    plan_of(trackday)
    wishes_of(trackday)


def _timed(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
