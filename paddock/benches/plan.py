"""A delay tapped on the board: act, new valid plan and board, end to end."""

import time
import uuid
from argparse import ArgumentParser
from collections.abc import Callable
from statistics import median, quantiles
from typing import Any

from django.core.cache import cache
from django.db import connection

from jobs import planning
from jobs.acts.services import act_apply
from jobs.people.enums import Role
from jobs.people.models import User
from jobs.trackday.models import Trackday
from jobs.trackday.services import crew_join
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.problem import day_problem
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh

from .bench_days import bench_database, bench_day
from .board import _fill, _page

TAPS = 8


def arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--bikes", type=int, default=60)


def run(say: Callable[[str], None], *, bikes: int, **options: Any) -> None:
    """Tap +5 and -5 in turn, and read the board after each."""
    with bench_database():
        day = bench_day(bikes=bikes)
        _fill(day)
        _crew(day.trackday)
        trackday = Trackday.objects.select_related("venue").get(pk=day.trackday.pk)
        page = _page(day.tuner, trackday)
        page()
        whole, own, planned = [], [], []
        for turn in range(TAPS):
            cache.clear()
            begin, begin_own = time.perf_counter(), time.process_time()
            act_apply(
                act_id=uuid.uuid4(),
                kind="delay",
                payload={"trackday": trackday.pk, "minutes": 5 if turn % 2 == 0 else -5},
                by=day.tuner,
                trackday=trackday,
            )
            page()
            whole.append((time.perf_counter() - begin) * 1000)
            own.append((time.process_time() - begin_own) * 1000)
            planned.append(_planning_ms(trackday))
        _say(say, bikes, whole, own, planned)


def _crew(trackday: Trackday) -> None:
    """A second tuner and three helpers join the one there is."""
    roles = (Role.TUNER, Role.HELPER, Role.HELPER, Role.HELPER)
    for number, role in enumerate(roles):
        user = User.objects.create(username=f"crew-{number}", role=role)
        crew_join(trackday=trackday, user=user)


def _planning_ms(trackday: Trackday) -> float:
    """The plan alone, made anew for the day as it is; and that it is valid."""
    read = day_read(trackday)
    problem = day_problem(read)
    DayPlan.objects.filter(trackday=trackday).update(crew=[])
    begin = time.perf_counter()
    plan_refresh(day=read)
    took = (time.perf_counter() - begin) * 1000
    made = planning.plan(problem.day, now=problem.now, locked=problem.locked, iterations=0)
    if faults := planning.validate(problem.day, made, locked=problem.locked, now=problem.now):
        raise AssertionError(faults[0])
    return took


def _say(
    say: Callable[[str], None],
    bikes: int,
    whole: list[float],
    own: list[float],
    planned: list[float],
) -> None:
    """``own``: the processor's time, which others on a busy machine do not lengthen."""
    worst = quantiles(whole, n=20)[-1]
    say(f"{connection.vendor}, {bikes} bikes, a delay tapped {len(whole)} times")
    say(f"act, plan and board  {median(whole):6.0f} ms, p95 {worst:.0f} ms")
    say(f"processor's time     {median(own):6.0f} ms")
    say(f"of it the plan       {median(planned):6.0f} ms")
