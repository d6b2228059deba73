"""What the book refuses to write, in words, and what it writes beside."""

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from jobs.setups import services
from jobs.setups.models import Adjustment, KeptSetup, Order
from jobs.setups.stops import Stop

from ..days import day_build, local
from .writing import change, change_legs, count, fork_legs, origin, rear_rebound, tyre_pressure

pytestmark = pytest.mark.django_db


@pytest.fixture
def entries(cast):
    return day_build(bikes=2).entries


@pytest.fixture
def entry(entries):
    return entries[0]


def order(by, entry, from_, to, **more):
    more.setdefault("adjuster", rear_rebound(entry))
    return services.order_write(
        origin=origin(by, entry), from_position=Decimal(from_), to_position=Decimal(to), **more
    )


def test_a_broken_adjuster_says_what_is_wrong_with_it(tuner, entry):
    adjuster = rear_rebound(entry)
    for fault in ("", "  "):
        with pytest.raises(ValidationError, match="Say what is wrong"):
            services.adjuster_break(origin=origin(tuner, entry), adjuster=adjuster, fault=fault)
    adjuster.refresh_from_db()
    assert adjuster.usable


def test_nothing_is_expected_of_a_withdrawn_change(tuner, entry):
    row = change(tuner, entry, 14, 12)
    services.adjustment_withdraw(origin=origin(tuner, entry), row=row)
    row.refresh_from_db()
    with pytest.raises(ValidationError, match="nothing is expected of it"):
        services.expectation_write(origin=origin(tuner, entry), adjustment=row, text="settles")


def test_a_finding_is_the_crews_own_unless_the_rider_said_it(tuner, entry):
    seen = services.finding_write(origin=origin(tuner, entry), bike=entry.bike, words="a lip")
    assert not seen.by_rider


def test_a_bike_nobody_counted_has_no_setup_to_keep(tuner, entry):
    with pytest.raises(ValidationError, match="nothing to keep"):
        services.kept_setup_keep(origin=origin(tuner, entry), bike=entry.bike, kind="dry")
    assert not KeptSetup.objects.exists()


def test_a_kept_setup_holds_what_was_counted(tuner, entry):
    count(tuner, entry, 14)
    kept = services.kept_setup_keep(origin=origin(tuner, entry), bike=entry.bike, kind="dry")
    assert [(p.adjuster, p.position) for p in kept.positions.all()] == [(rear_rebound(entry), 14)]
    with pytest.raises(ValidationError, match="Give this setup a name"):
        services.kept_setup_keep(origin=origin(tuner, entry), bike=entry.bike, kind="own")


def test_an_order_starts_from_where_the_book_says_and_leads_elsewhere(tuner, entry):
    with pytest.raises(ValidationError, match="has not been counted yet"):
        order(tuner, entry, 14, 12)
    count(tuner, entry, 14)
    with pytest.raises(ValidationError, match="It stands there already"):
        order(tuner, entry, 16, 14)
    assert order(tuner, entry, 16, 12).from_position == 14


def test_an_order_of_a_pressure_starts_from_the_gauge(tuner, entry):
    tyre = tyre_pressure(entry)
    change(tuner, entry, 31, 30, adjuster=tyre, tyre_state="cold")
    row = order(tuner, entry, "32.5", "31.5", adjuster=tyre, tyre_state="track")
    assert (row.from_position, row.to_position) == (Decimal("32.5"), Decimal("31.5"))


def test_only_a_tuner_orders(helper, tuner, entry):
    count(tuner, entry, 14)
    with pytest.raises(PermissionDenied, match="Only a tuner orders"):
        order(helper, entry, 14, 12)
    assert not Order.objects.exists()


def test_a_change_on_an_adjuster_never_counted_is_placed_without_a_gap(tuner, entry):
    row = change(tuner, entry, 14, 12)
    Adjustment.objects.filter(pk=row.pk).update(state="unplaced", seq=None)
    row.refresh_from_db()
    placed = services.adjustment_place(origin=origin(tuner, entry), row=row)
    assert (placed.state, placed.from_position, placed.seq) == ("placed", 14, 1)
    assert Adjustment.objects.count() == 1


def test_legs_moved_to_another_bike_stay_one_act(tuner, entries):
    wrong, right = entries
    fork_legs(right)
    rows = change_legs(tuner, wrong, fork_legs(wrong), (6, 5))
    moved = services.rows_move(origin=origin(tuner, wrong), rows=rows, to=right)
    assert len(moved) == 2
    assert len({row.linked for row in moved} - {None, rows[0].linked}) == 1
    alone = change(tuner, wrong, 14, 12)
    [moved_alone] = services.rows_move(origin=origin(tuner, wrong), rows=[alone], to=right)
    assert moved_alone.linked is None


def test_minutes_count_from_the_stop():
    assert Stop(None, local(9, 20)).minutes(local(10, 20)) == 60
    assert Stop(None, None).minutes(local(10, 20)) is None
