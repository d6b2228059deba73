"""What is asked of a bike and when: rules, windows, what waits for what, and orders."""

from decimal import Decimal

import pytest

from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, CrewDay, Entry, ServicePackage
from jobs.trackday.services import crew_join
from jobs.worklist.enums import TaskState
from jobs.worklist.models import Checklist
from jobs.worklist.planned.capacity import capacity
from jobs.worklist.selectors import day_read
from tests.acts.conftest import day  # noqa: F401
from tests.acts.doing import bike_now, clock_set, do, pre_grid, task_now, tick
from tests.days import day_build, local

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(day, helper):  # noqa: F811
    """Here since 08:00; its group rolls at 09:00, 10:20, 11:40 ... for 18 minutes."""
    entry = day.entries[0]
    BikeMove.objects.create(entry=entry, move=Move.ARRIVED, at=local(8), by=helper)
    return entry


def codes(entry, at=None):
    return {task.item.code for task in bike_now(entry, at).tasks}


def change(entry, by, at):
    clock_set(entry.trackday, at)
    rear = Adjuster.objects.get(bike=entry.bike_id, end="rear", function="rebound")
    last = Adjustment.objects.order_by("seq").last()
    start = last.to_position if last else Decimal(14)
    move = {"adjuster": rear.pk, "from_position": str(start), "to_position": str(start - 1)}
    done = do("change", by, entry.trackday, entry=entry.pk, moves=[move], reason="kicks")
    assert done.outcome == "applied", done.answer


def test_the_hot_re_check_is_asked_for_only_after_a_change(entry, tuner):
    assert "recheck" not in codes(entry, local(9, 21))
    change(entry, tuner, local(8, 30))
    assert "recheck" in codes(entry, local(9, 21))


def test_a_late_arrival_is_asked_for_less(entry):
    assert "noted" in codes(entry)
    Entry.objects.update(late=True)
    assert "noted" not in codes(entry)
    assert "safety" in codes(entry)


def test_nothing_opens_before_the_bike_is_here(day):  # noqa: F811
    entry = day.entries[1]
    states = {task.state for task in bike_now(entry, local(8, 30)).tasks}
    assert states == {TaskState.LATER}


def test_a_bike_gone_home_is_asked_for_nothing_that_was_not_done(entry, helper):
    tick("identify", helper, entry)
    do("gone home", helper, entry.trackday, entry=entry.pk)
    assert codes(entry) == {"identify"}


def test_a_task_waits_for_what_comes_first_until_that_is_over(entry, helper):
    assert task_now(entry, "safety").waits_for == ()
    assert task_now(entry, "identify").waits_for == ("safety",)
    assert task_now(entry, "count").waits_for == ("safety", "identify")
    assert pre_grid(entry).waits_for == ("safety",)
    tick("safety", helper, entry)
    assert task_now(entry, "identify").waits_for == ()
    assert task_now(entry, "count").waits_for == ("identify",)
    assert pre_grid(entry).waits_for == ()


def test_a_pre_grid_check_opens_only_after_the_bike_is_back_from_the_session_before(
    entry, day  # noqa: F811
):  # fmt: skip
    first, second = (s for s in day.sessions[:5] if s.group_id == entry.group_id)
    checks = {
        task.session_id: task
        for task in bike_now(entry, local(9, 30)).tasks
        if task.item.code == "pre-grid"
    }
    assert checks[first.pk].opens < local(9)
    assert local(9, 20) <= checks[second.pk].opens < checks[second.pk].closes <= local(10, 20)


def test_what_this_turnaround_did_not_get_is_named(entry, helper):
    tick("identify", helper, entry)
    at = local(9, 30)
    missed = {task.item.code for task in bike_now(entry, at).missed}
    assert "hot-reads" in missed
    assert "identify" not in missed
    assert "hot-reads" not in {task.item.code for task in bike_now(entry, local(9, 21)).missed}


def test_an_order_is_a_task_open_while_the_bike_is_here_and_later_while_it_is_out(entry, tuner):
    rear = Adjuster.objects.get(bike=entry.bike_id, end="rear", function="rebound")
    counts = [{"adjuster": rear.pk, "position": "14"}]
    do("count", tuner, entry.trackday, entry=entry.pk, counts=counts)
    move = {"adjuster": rear.pk, "from_position": "14", "to_position": "11"}
    do("order", tuner, entry.trackday, entry=entry.pk, moves=[move], reason="kicks")
    assert task_now(entry, "order").state == TaskState.OPEN
    assert task_now(entry, "order").closes == local(8, 53)
    clock_set(entry.trackday, local(9, 5))
    assert task_now(entry, "order").state == TaskState.LATER


def test_changed_last_time_is_a_change_in_the_turnaround_before_the_last_outing(entry, tuner):
    def told(at):
        return bike_now(entry, at).changed_last_time

    assert not told(local(9, 30))
    change(entry, tuner, local(8, 30))
    assert not told(local(8, 40))
    assert told(local(9, 30))
    assert not told(local(10, 45))
    change(entry, tuner, local(9, 30))
    assert told(local(10, 45))
    assert not told(local(12, 10))


def test_a_checklist_of_some_packages_is_asked_of_those_alone(entry):
    between = Checklist.objects.get(code="between")
    other = ServicePackage.objects.create(code="other", name="Other")
    between.packages.add(other)
    assert "hot-reads" not in codes(entry, local(9, 21))
    between.packages.add(entry.package)
    assert "hot-reads" in codes(entry, local(9, 21))


def test_who_is_here_is_told_by_when_they_come_and_go(day, helper, tuner):  # noqa: F811
    for user in (helper, tuner):
        crew_join(trackday=day.trackday, user=user)
    CrewDay.objects.filter(user=helper).update(joins_at=local(9), leaves_at=local(12))

    def here(at):
        return {user.first_name for user in day_read(day.trackday, at).crew_here}

    assert here(local(8, 59)) == {"Tess"}
    assert here(local(9)) == here(local(11, 59)) == {"Tess", "Hal"}
    assert here(local(12)) == {"Tess"}


def test_a_day_says_how_late_its_next_session_is(day, tuner):  # noqa: F811
    assert day_read(day.trackday, local(8)).late_minutes == 0
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    assert day_read(day.trackday, local(8)).late_minutes == 15
    assert day_read(day.trackday, local(23)).late_minutes == 0


def test_a_package_that_asks_for_nothing_takes_no_room(cast):
    """Without checklists no bike asks for anything: there is no number to say."""
    bare = day_build(bikes=1)
    found = capacity(bare.trackday, bare.groups[0], bare.package)
    assert (found.more, found.supposed) == (None, True)
