"""Days that are costly to build: fixture ``played``, the demo's day at one of its moments."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, date, datetime
from functools import partial

import pytest
from django.core.cache import cache

from jobs.desk.demo.play import demo_build, demo_day
from jobs.trackday.models import Trackday

from .databases import TestDatabase

DATE = date(2026, 6, 13)


@pytest.fixture
def played(db: None, test_database: TestDatabase) -> Iterator[Callable[[str], Trackday]]:
    """``played("midday")``: the database has the demo of that moment and nothing else.

    Ask for it before anything is written: what a fixture wrote earlier is not there.
    """
    with ExitStack() as until_the_end:

        def put(moment: str) -> Trackday:
            build = partial(demo_build, moment=moment, on=DATE)
            until_the_end.enter_context(test_database.at(f"demo_{moment}", build))
            cache.clear()  # another copy's day has the same number and revision
            trackday = demo_day()
            assert trackday is not None
            # The day's clock goes on from its moment now, not from when the state was built.
            trackday.clock_set_at = datetime.now(UTC)
            trackday.save(update_fields=["clock_set_at"])
            return trackday

        yield put
