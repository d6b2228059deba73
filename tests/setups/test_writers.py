"""Several people write on one bike at the same moment, each on a connection of his own."""

import threading
import uuid
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from jobs.acts.enums import Outcome
from jobs.acts.services import act_apply
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment

from ..days import day_build
from .writing import count, rear_rebound, stands_at

pytestmark = pytest.mark.django_db(transaction=True)

WRITERS = 6


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def together(work, count_=WRITERS):
    """Run ``work(n)`` in threads that start at one barrier; their results or faults."""
    barrier, results = threading.Barrier(count_), [None] * count_

    def run(n):
        try:
            barrier.wait()
            results[n] = work(n)
        except Exception as error:
            results[n] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(n,)) for n in range(count_)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def payload(entry, from_, to):
    move = {"adjuster": rear_rebound(entry).pk, "from_position": from_, "to_position": to}
    return {"entry": entry.pk, "moves": [move]}


def test_of_changes_from_one_position_one_is_placed_and_all_are_kept(tuner, entry):
    count(tuner, entry, 14)
    acts = together(
        lambda n: act_apply(
            act_id=uuid.uuid4(), kind="change", payload=payload(entry, 14, 13 - n % 3), by=tuner
        )
    )
    assert sorted(act.outcome for act in acts) == [Outcome.APPLIED] + [Outcome.UNPLACED] * 5
    rows = Adjustment.objects.filter(kind="change")
    assert rows.count() == WRITERS
    placed = rows.get(state=RowState.PLACED)
    assert stands_at(placed.adjuster) == placed.to_position


def test_one_act_sent_by_many_at_once_is_one_change(tuner, entry):
    count(tuner, entry, 14)
    act_id, sent = uuid.uuid4(), payload(entry, 14, 13)
    acts = together(lambda n: act_apply(act_id=act_id, kind="change", payload=sent, by=tuner))
    assert {act.pk for act in acts} == {act_id}
    assert {act.answer["text"] for act in acts} == {
        "Rear rebound from 14 out to 13 out: 1 click firmer."
    }
    assert Adjustment.objects.filter(kind="change").count() == 1


def test_counts_at_once_all_find_a_place(tuner, entry):
    adjuster = rear_rebound(entry).pk
    together(
        lambda n: act_apply(
            act_id=uuid.uuid4(), kind="count", by=tuner,
            payload={"entry": entry.pk, "counts": [{"adjuster": adjuster, "position": 10 + n}]},
        )
    )  # fmt: skip
    seqs = Adjustment.objects.order_by("seq").values_list("seq", flat=True)
    assert list(seqs) == [1, 2, 3, 4, 5, 6]


def test_the_database_itself_refuses_two_rows_in_one_place(tuner, entry):
    row = count(tuner, entry, 14)
    with pytest.raises(IntegrityError), transaction.atomic():
        Adjustment.objects.create(
            adjuster=row.adjuster, seq=row.seq, kind="recount", to_position=Decimal(3), by=tuner,
            done_at=row.done_at,
        )  # fmt: skip
