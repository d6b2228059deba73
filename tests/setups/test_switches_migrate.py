"""What was a count of 1 or 0 becomes a switch; every other number stays as it is."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from jobs.garage.models import Bike
from jobs.people.models import Customer, User
from jobs.setups.models import Reading

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)
BEFORE = ("setups", "0006_order_carries_its_expectation")
AFTER = ("setups", "0007_switches_are_booleans")
ROWS = (
    ("push", "brake", 1, "count"),
    ("push", "stays", 0, "count"),
    ("push", "swings", 1, "count"),
    ("travel", "used", 90, "mm"),
    ("travel", "reset", 1, "count"),
)

pytestmark = pytest.mark.django_db(transaction=True)


def migrate(target):
    executor = MigrationExecutor(connection)
    executor.migrate([target])
    return executor.loader.project_state([target]).apps


def rows(apps):
    found = apps.get_model("setups", "Measurement").objects.order_by("pk")
    return list(found.values_list("name", "value", "unit", "canonical", "on"))


@pytest.fixture
def before():
    """The measurements as they were, of one reading of each kind that had a switch."""
    latest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    by = User.objects.create(username="petra")
    bike = Bike.objects.create(owner=Customer.objects.create(name="Aoife"), make="Corsair")
    of_kind = {
        kind: Reading.objects.create(bike=bike, kind=kind, end="front", by=by, done_at=NOON)
        for kind in ("push", "travel")
    }
    measurements = migrate(BEFORE).get_model("setups", "Measurement").objects
    for kind, name, value, unit in ROWS:
        measurements.create(
            reading_id=of_kind[kind].pk, name=name, value=value, unit=unit, canonical=value
        )
    yield
    MigrationExecutor(connection).migrate(latest)


def test_counts_become_switches_and_can_become_counts_again(before):
    counted = rows(migrate(AFTER))
    assert counted == [
        ("brake", None, "", None, True),
        ("stays", None, "", None, False),
        ("swings", Decimal(1), "count", Decimal(1), None),
        ("used", Decimal(90), "mm", Decimal(90), None),
        ("reset", None, "", None, True),
    ]
    back = migrate(BEFORE).get_model("setups", "Measurement").objects.order_by("pk")
    found = list(back.values_list("reading__kind", "name", "value", "unit"))
    assert found == [(kind, name, Decimal(value), unit) for kind, name, value, unit in ROWS]
