"""Stored travel readings get their place, and a business's one band becomes six."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)
BEFORE = {"setups": "0008_reasons_and_pressures_kept", "people": "0007_same_person"}
AFTER = {
    "setups": "0009_where_travel_was_read",
    "people": "0008_travel_bands_by_end_and_pace",
}

pytestmark = pytest.mark.django_db(transaction=True)


def migrate(names):
    """To these of their apps; others go back only as far as they need to."""
    MigrationExecutor(connection).migrate(list(names.items()))
    loader = MigrationExecutor(connection).loader
    return loader.project_state(list(loader.applied_migrations)).apps


@pytest.fixture
def before():
    latest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield migrate(BEFORE)
    MigrationExecutor(connection).migrate(latest)


def test_the_front_was_read_on_the_leg_and_the_rear_stays_unknown(before):
    by = before.get_model("people", "User").objects.create(username="petra")
    owner = before.get_model("people", "Customer").objects.create(name="Aoife")
    bike = before.get_model("garage", "Bike").objects.create(owner=owner, make="Corsair")
    before.get_model("people", "Business").objects.create(
        pk=1, name="Roan", travel_low_percent=70, travel_high_percent=90
    )
    for end, kind in (("front", "travel"), ("rear", "travel"), ("front", "sag")):
        before.get_model("setups", "Reading").objects.create(
            bike=bike, kind=kind, end=end, by=by, done_at=NOON, accepted_at=NOON
        )
    after = migrate(AFTER)
    places = after.get_model("setups", "Reading").objects.order_by("kind", "end")
    assert list(places.values_list("kind", "end", "place")) == [
        ("sag", "front", ""), ("travel", "front", "fork_leg"), ("travel", "rear", ""),
    ]  # fmt: skip
    bands = after.get_model("people", "OwnBand").objects.all()
    assert {(band.low, band.high) for band in bands} == {(70, 90)}
    assert len(bands) == 6
