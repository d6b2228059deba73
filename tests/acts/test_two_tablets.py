"""Two tablets without network withdraw and move the same changes; then both send.

Whatever order the acts arrive in, a change stands on one bike at most, one that was withdrawn
does not come back, and an act that is sent again is done once.
"""

import uuid
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.acts.services import act_apply
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Expectation
from tests.days import local
from tests.setups.writing import rear_rebound, stands_at

from .doing import clock_set, do

pytestmark = pytest.mark.django_db

CHANGES = 2
# Of which change, and for a move to which of the three bikes.
entered = st.one_of(
    st.tuples(st.just("withdraw"), st.integers(0, CHANGES - 1)),
    st.tuples(st.just("move"), st.integers(0, CHANGES - 1), st.integers(0, 2)),
)
offline = st.lists(entered, min_size=1, max_size=4)


@dataclass(frozen=True)
class Kept:
    """An act as a tablet keeps it."""

    id: uuid.UUID
    kind: str
    payload: dict[str, Any]


def change_made(day, by) -> list[Adjustment]:
    """Two changes of one adjuster, 14 to 12 and 12 to 11, the first with its expectation."""
    entry, rebound = day.entries[0], rear_rebound(day.entries[0])
    do("count", by, day.trackday, entry=entry.pk, counts=[{"adjuster": rebound.pk, "position": 14}])
    made = []
    for start, end, expected in ((14, 12, "settles"), (12, 11, "")):
        move = {"adjuster": rebound.pk, "from_position": start, "to_position": end}
        act = do(
            "change", by, day.trackday, entry=entry.pk, moves=[move], expectation=expected
        )  # fmt: skip
        assert act.outcome == "applied", act.answer
        made.append(Adjustment.objects.get(pk=act.pk))
    return made


def kept_on_tablet(entries, changes, steps) -> list[Kept]:
    """What a person entered there: the tablet knows only the rows it saw before."""
    kept = []
    for kind, number, *to in steps:
        row = str(changes[number].pk)
        payload = {"rows": [row], "to": entries[to[0]].pk} if kind == "move" else {"row": row}
        kept.append(Kept(uuid.uuid4(), kind, payload))
    return kept


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(first=offline, second=offline, order=st.randoms(use_true_random=False))
def test_a_change_stands_on_one_bike_at_most_whoever_sends_first(day, tuner, first, second, order):
    with transaction.atomic():
        clock_set(day.trackday, local(9))
        changes = change_made(day, tuner)
        tablets = [kept_on_tablet(day.entries, changes, steps) for steps in (first, second)]
        while any(tablets):
            queue = order.choice([one for one in tablets if one])
            act = queue.pop(0)
            answers = [sent(day, tuner, act) for _time in range(order.choice((1, 2)))]
            assert [a.already for a in answers] == [False, True][: len(answers)]
            assert len({(a.outcome, a.answer["text"]) for a in answers}) == 1
            check_lines(changes)
            check_standing(day)
        transaction.set_rollback(True)


def sent(day, by, act: Kept):
    return act_apply(
        act_id=act.id, kind=act.kind, payload=act.payload, by=by, trackday=day.trackday
    )


def check_lines(changes) -> None:
    """Of a change and all that it was moved to one row lives at most, and none is moved twice."""
    for change in changes:
        line = [change.pk]
        while moved := list(Adjustment.objects.filter(moved_from=line[-1])):
            assert len(moved) == 1
            line.append(moved[0].pk)
        living = list(Adjustment.objects.filter(pk__in=line).exclude(state=RowState.WITHDRAWN))
        assert [row.pk for row in living] in ([], line[-1:])
        expected = Expectation.objects.filter(adjustment__in=line, withdrawn_at=None)
        assert all(one.adjustment_id in [row.pk for row in living] for one in expected)


def check_standing(day) -> None:
    for entry in day.entries[:3]:
        rows = Adjustment.objects.filter(adjuster=rear_rebound(entry), state=RowState.PLACED)
        last = rows.order_by("-seq").first()
        assert stands_at(rear_rebound(entry)) == (last.to_position if last else None)


def test_a_withdrawn_change_is_not_moved_and_a_moved_one_not_moved_again(day, tuner):
    _first, second = change_made(day, tuner)
    here, right, third = day.entries[:3]
    moved = do("move", tuner, day.trackday, rows=[str(second.pk)], to=right.pk)
    again = do("move", tuner, day.trackday, rows=[str(second.pk)], to=third.pk)
    assert (moved.outcome, again.outcome) == ("applied", "refused")
    assert again.answer["text"].startswith("Withdrawn already, so it cannot be moved:")
    assert [stands_at(rear_rebound(entry)) for entry in (here, right, third)] == [12, 11, None]
    [row] = moved.answer["rows"]
    assert do("withdraw", tuner, day.trackday, row=row).outcome == "applied"
    back = do("move", tuner, day.trackday, rows=[row], to=here.pk)
    assert (back.outcome, stands_at(rear_rebound(here))) == ("refused", 12)


def test_an_expectation_withdrawn_before_the_move_does_not_come_back(day, tuner):
    first, second = change_made(day, tuner)
    expected = Expectation.objects.get(adjustment=first)
    for row in (expected, second):
        assert do("withdraw", tuner, day.trackday, row=str(row.pk)).outcome == "applied"
    moved = do("move", tuner, day.trackday, rows=[str(first.pk)], to=day.entries[1].pk)
    assert moved.outcome == "applied", moved.answer
    assert not Expectation.objects.filter(withdrawn_at=None).exists()


def test_a_helper_neither_withdraws_nor_moves_what_a_tuner_changed(day, tuner, helper):
    _first, second = change_made(day, tuner)
    to = day.entries[1].pk
    for kind, payload in (
        ("withdraw", {"row": str(second.pk)}),
        ("move", {"rows": [str(second.pk)], "to": to}),
    ):
        act = do(kind, helper, day.trackday, **payload)
        assert (act.outcome, act.answer["text"]) == (
            "refused", "What a tuner did, a tuner takes back.",
        )  # fmt: skip
    second.refresh_from_db()
    assert second.state == RowState.PLACED
    assert do("withdraw", tuner, day.trackday, row=str(second.pk)).outcome == "applied"


def test_a_helper_takes_back_what_a_helper_counted(day, helper):
    rebound = rear_rebound(day.entries[0])
    counted = do(
        "count", helper, day.trackday, entry=day.entries[0].pk,
        counts=[{"adjuster": rebound.pk, "position": "14"}],
    )  # fmt: skip
    assert do("withdraw", helper, day.trackday, row=str(counted.pk)).outcome == "applied"


def test_an_act_of_two_adjusters_withdrawn_on_two_tablets_is_said_the_second_time(day, tuner):
    entry = day.entries[0]
    both = list(entry.bike.adjusters.filter(function="rebound"))
    assert len(both) == 2
    moves = [{"adjuster": one.pk, "from_position": "9", "to_position": "8"} for one in both]
    changed = do("change", tuner, day.trackday, entry=entry.pk, moves=moves)
    assert changed.outcome == "applied", changed.answer
    said = [do("withdraw", tuner, day.trackday, row=row) for row in changed.answer["rows"]]
    assert [act.outcome for act in said] == ["applied", "refused"]
    assert said[1].answer["text"] == "This was already withdrawn."
