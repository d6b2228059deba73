"""The book equals a replay of the acceptance log, whatever was done in whatever order."""

from dataclasses import dataclass, field
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.garage.models import Adjuster
from jobs.setups import services
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment

from ..days import day_build
from .writing import change, count, origin, rear_rebound, stands_at

pytestmark = pytest.mark.django_db

LOW, HIGH = 0, 24
positions = st.integers(LOW - 1, HIGH + 2)
steps = st.one_of(
    st.tuples(st.just("count"), st.integers(0, 1), positions),
    st.tuples(st.just("change"), st.integers(0, 1), st.integers(-4, 4)),
    st.tuples(st.just("late"), st.integers(0, 1), positions, st.integers(-3, 3)),
    st.tuples(st.just("withdraw"), st.integers(0, 30)),
    st.tuples(st.just("place"), st.integers(0, 30)),
    st.tuples(st.just("move"), st.integers(0, 30)),
)


@dataclass
class Replay:
    """The rules again, in the plainest way: two lists of accepted moves, newest last."""

    standing: dict[int, list] = field(default_factory=lambda: {0: [], 1: []})

    def at(self, bike: int) -> int | None:
        return self.standing[bike][-1][2] if self.standing[bike] else None

    def add(self, bike: int, pk, from_: int | None, to: int) -> bool:
        """A change: placed where it fits, or where nothing was known; never from past the end."""
        if not LOW <= from_ <= HIGH or self.at(bike) not in (None, from_):
            return False
        self.standing[bike].append((pk, from_, to))
        return True


@pytest.fixture
def entries(cast):
    return day_build(bikes=2).entries


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(log=st.lists(steps, max_size=14))
def test_the_book_is_the_replay_of_its_log(cast, entries, log):
    with transaction.atomic():
        _play(cast.tuner, entries, log)
        transaction.set_rollback(True)


def _play(tuner, entries, log):
    replay, rows = Replay(), []
    for step in log:
        try:
            with transaction.atomic():
                _do(tuner, entries, replay, rows, step)
        except ValidationError:
            pass  # refused: nothing may have moved, which is what is checked below
        for bike, entry in enumerate(entries):
            adjuster = rear_rebound(entry)
            assert stands_at(adjuster) == replay.at(bike), step
            _check_chain(adjuster)


def _check_chain(adjuster: Adjuster) -> None:
    """Every placed row starts where the one before it ended, inside the range."""
    at = None
    rows = Adjustment.objects.filter(adjuster=adjuster, state=RowState.PLACED).order_by("seq")
    for row in rows:
        assert adjuster.lowest <= row.to_position <= adjuster.highest
        assert at is None or row.from_position == at
        at = row.to_position


def _do(tuner, entries, replay, rows, step) -> None:
    kind = step[0]
    if kind == "count":
        row = count(tuner, entries[step[1]], step[2])
        replay.standing[step[1]].append((row.pk, replay.at(step[1]), step[2]))
        rows.append((step[1], row))
    elif kind == "change":
        from_ = replay.at(step[1])
        _change(tuner, entries, replay, rows, step[1], 12 if from_ is None else from_, step[2])
    elif kind == "late":
        _change(tuner, entries, replay, rows, step[1], step[2], step[3])
    elif rows:
        bike, row = rows[step[1] % len(rows)]
        {"withdraw": _withdraw, "place": _place, "move": _move}[kind](
            tuner, entries, replay, rows, bike, row
        )


def _change(tuner, entries, replay, rows, bike, from_, by) -> None:
    row = change(tuner, entries[bike], from_, from_ + by, step_reason="tried")
    placed = replay.add(bike, row.pk, from_, from_ + by)
    assert placed == (row.state == RowState.PLACED)
    rows.append((bike, row))


def _withdraw(tuner, entries, replay, rows, bike, row) -> None:
    services.adjustment_withdraw(
        origin=origin(tuner, entries[bike]), row=Adjustment.objects.get(pk=row.pk)
    )
    _take_out(replay, bike, row)


def _take_out(replay, bike, row) -> None:
    moves = replay.standing[bike]
    if moves and moves[-1][0] == row.pk:
        moves.pop()
        if moves and moves[-1][0] == ("found before", row.pk):
            moves.pop()


def _place(tuner, entries, replay, rows, bike, row) -> None:
    services.adjustment_place(origin=origin(tuner, entries[bike]), row=row)
    at = replay.at(bike)
    if at is not None and at != row.from_position:
        replay.standing[bike].append((("found before", row.pk), at, row.from_position))
    replay.standing[bike].append((row.pk, row.from_position, row.to_position))


def _move(tuner, entries, replay, rows, bike, row) -> None:
    fresh = Adjustment.objects.get(pk=row.pk)
    other = 1 - bike
    if fresh.state == RowState.WITHDRAWN:  # moved or withdrawn on another tablet meanwhile
        with pytest.raises(ValidationError, match="Withdrawn already"):
            services.rows_move(origin=origin(tuner, entries[bike]), rows=[row], to=entries[other])
        return
    [moved] = services.rows_move(
        origin=origin(tuner, entries[bike]), rows=[fresh], to=entries[other]
    )
    _take_out(replay, bike, row)
    if fresh.kind == "change":
        placed = replay.add(other, moved.pk, fresh.from_position, fresh.to_position)
        assert placed == (moved.state == RowState.PLACED)
    else:
        replay.standing[other].append((moved.pk, replay.at(other), fresh.to_position))
    rows.append((other, moved))


def test_the_replay_would_notice_a_lost_row(tuner, cast):
    """The check itself can fail: a row taken from under the book is seen."""
    entry = day_build(bikes=1).entries[0]
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 12)
    change(tuner, entry, 12, 11)
    Adjustment.objects.filter(pk=row.pk).delete()
    with pytest.raises(AssertionError):
        _check_chain(row.adjuster)
    assert stands_at(row.adjuster) == Decimal(11)
