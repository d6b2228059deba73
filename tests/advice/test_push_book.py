"""What is read of the pushes: as much as the model needs, however large the book has grown."""

import random
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest

from jobs.advice.selectors import push_pairs
from jobs.advice.selectors.push_pairs import adjuster_key, model_key, push_book
from jobs.garage.models import Adjuster, Bike
from jobs.setups.models import Adjustment, Measurement, Reading
from jobs.tuning.outlook import PushPair, response
from tests.days import day_build, local

from ..queries import queries

MODELS = ("Alba 600", "Alba 600", "Corvo R", "Corvo R", "Dorn S", "Dorn S")
TIMES = 14


class Book:
    """Bikes whose rear rebound is turned between two pushes, again and again, and their pairs.

    ``pairs``: what was written, oldest first, apart from any reading of the book.
    """

    def __init__(self, tuner):
        self.tuner, self.random = tuner, random.Random(7)
        self.at, self.pairs, self.rows = local(9), [], {}
        entries = day_build(bikes=len(MODELS)).entries
        for entry, name in zip(entries, MODELS, strict=True):
            make, model = name.split()
            Bike.objects.filter(pk=entry.bike_id).update(make=make, model=model)
        self.entries = [(e, Bike.objects.get(pk=e.bike_id)) for e in entries]
        for _time in range(TIMES):
            for entry, bike in self.entries:
                self.turned_between_two_pushes(entry, bike)

    def written(self, model, **fields):
        self.at += timedelta(minutes=1)
        row = model.objects.create(by=self.tuner, done_at=self.at, **fields)
        model.objects.filter(pk=row.pk).update(accepted_at=self.at)
        return row

    def push(self, entry, bike, seconds, end="rear"):
        row = self.written(Reading, entry=entry, bike=bike, kind="push", end=end, oil_state="hot")
        Measurement.objects.create(
            reading=row, name="seconds", index=0, value=seconds, unit="s", canonical=seconds
        )

    def changed(self, entry, adjuster, start, to, linked=None):
        self.rows[adjuster.pk] = seq = self.rows.get(adjuster.pk, 0) + 1
        self.written(
            Adjustment, entry=entry, adjuster=adjuster, kind="change", seq=seq, linked=linked,
            from_position=start, to_position=to,
        )  # fmt: skip

    def turned_between_two_pushes(self, entry, bike):
        rebound = Adjuster.objects.get(bike=bike, end="rear", function="rebound")
        other = Adjuster.objects.get(bike=bike, end="rear", function="compression")
        by = self.random.choice((-3, -2, 2, 3))
        before, after = (Decimal(self.random.randint(70, 130)) / 100 for _ in range(2))
        self.push(entry, bike, before)
        self.push(entry, bike, Decimal(1), end="front")  # nothing is turned there
        confounded = self.random.random() < 0.2
        act = uuid.uuid4()
        self.changed(entry, rebound, 10, 10 + by, linked=act)
        if confounded:
            self.changed(entry, other, 10, 9, linked=act)
        self.push(entry, bike, after)
        if not confounded:
            self.pairs.append(
                PushPair(
                    adjuster_key(rebound.pk, rebound.pair),
                    model_key(bike.make, bike.model, "rear"),
                    float(-by), float(before), float(after), "hot", "hot",
                )
            )  # fmt: skip


@pytest.fixture
def book(tuner):
    return Book(tuner)


def told(pairs, bike):
    adjuster = Adjuster.objects.get(bike=bike, end="rear", function="rebound")
    return response(
        pairs=pairs,
        adjuster=adjuster_key(adjuster.pk, adjuster.pair),
        model=model_key(bike.make, bike.model, "rear"),
    )


def by_value(pairs):
    return sorted(pairs, key=lambda one: (one.adjuster, one.before_s, one.after_s))


def test_the_pairs_and_what_they_teach_are_those_of_the_whole_book(book):
    assert len(book.pairs) > 50
    for _entry, bike in book.entries:
        pairs = push_book(bike).pairs()
        assert by_value(pairs) == by_value(book.pairs)
        ours, whole = told(pairs, bike), told(book.pairs, bike)
        assert (ours.per_click, ours.low, ours.high) == pytest.approx(
            (whole.per_click, whole.low, whole.high)
        )


def test_four_queries_and_no_more_rows_than_the_bound(book, monkeypatch):
    monkeypatch.setattr(push_pairs, "MOST_PUSHES", 30)
    monkeypatch.setattr(push_pairs, "MOST_CHANGES", 40)
    bike = book.entries[0][1]
    with queries() as asked:
        found = push_book(bike)
    assert len(asked) == 4
    assert sum(len(pushes) for pushes in found.pushes.values()) <= 60
    assert sum(len(moves) for moves in found.moves.values()) <= 80


@pytest.mark.parametrize(("pushes", "changes"), [(30, 1500), (500, 20), (31, 21)])
def test_what_is_read_of_a_larger_book_is_its_newest_pairs(book, monkeypatch, pushes, changes):
    """A pair that is cut at the older end is left out, never made up of halves."""
    monkeypatch.setattr(push_pairs, "MOST_PUSHES", pushes)
    monkeypatch.setattr(push_pairs, "MOST_CHANGES", changes)
    bike = book.entries[0][1]
    pairs = push_book(bike).pairs()
    assert pairs
    own = model_key(bike.make, bike.model, "rear")
    for of_model in (True, False):
        read = [one for one in pairs if (one.model == own) == of_model]
        newest = [one for one in book.pairs if (one.model == own) == of_model]
        assert by_value(read) == by_value(newest[len(newest) - len(read) :])
        assert 0 < len(read) < len(newest)


def test_of_other_models_only_ends_are_read_whose_rebound_was_turned(book):
    bike = book.entries[0][1]
    models = {pk: f"{one.make} {one.model}" for pk, one in Bike.objects.in_bulk().items()}
    read = {(models[pk], end) for (pk, end), pushes in push_book(bike).pushes.items() if pushes}
    assert ("Alba 600", "front") in read
    assert {end for model, end in read if model != "Alba 600"} == {"rear"}
