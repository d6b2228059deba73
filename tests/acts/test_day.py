"""The day's acts: what each does to times, places and tasks, exactly once, and undone."""

import uuid

import pytest

from jobs.acts.models import Act
from jobs.acts.services import act_apply
from jobs.trackday.enums import BikePlace, SessionState
from jobs.trackday.models import Delay, Entry
from jobs.trackday.selectors import trackday_times
from tests.acts.doing import bike_now, clock_set, do, minutes, tick
from tests.days import local

pytestmark = pytest.mark.django_db


def starts(day) -> dict[int, object]:
    return {t.session.pk: t.start for t in trackday_times(day.trackday).sessions}


def test_a_delay_moves_every_session_not_yet_started(day, tuner):
    clock_set(day.trackday, local(9, 5))
    before = starts(day)
    act = do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    assert act.outcome == "applied", act.answer
    after = starts(day)
    first = day.sessions[0].pk
    assert after[first] == before[first]
    assert {after[pk] - before[pk] for pk in after if pk != first} == {minutes(15)}


def test_the_same_delay_sent_twice_moves_once(day, tuner):
    payload = {"trackday": day.trackday.pk, "minutes": 15}
    same = uuid.uuid4()
    answers = [
        act_apply(act_id=same, kind="delay", payload=payload, by=tuner, trackday=day.trackday)
        for _ in range(2)
    ]
    assert Delay.objects.count() == 1
    assert answers[0].answer == answers[1].answer


def test_a_delay_is_undone_by_its_opposite_and_by_taking_it_back(day, tuner):
    before = starts(day)
    first = do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=10)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=-10)
    assert starts(day) == before
    back = do("withdraw", tuner, day.trackday, row=str(first.pk))
    assert back.outcome == "applied", back.answer
    assert set(starts(day).values()) == {start - minutes(10) for start in before.values()}
    assert do("withdraw", tuner, day.trackday, row=str(first.pk)).outcome == "refused"


def test_when_every_session_has_started_there_is_nothing_to_move(day, tuner):
    clock_set(day.trackday, local(19))
    act = do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=10)
    assert act.outcome == "refused"
    assert "No session is left to move" in act.answer["text"]


def test_a_red_flag_ends_the_session_and_moves_the_stop(day, helper):
    entry, session = day.entries[0], day.sessions[0]
    do("arrived", helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 6))
    assert do("session cut short", helper, day.trackday, session=session.pk).outcome == "applied"
    bike = bike_now(entry, local(9, 9))
    assert bike.where.outings[0].times.state == SessionState.CUT_SHORT
    assert (bike.where.place, bike.where.stop) == (BikePlace.IN, local(9, 8))


def test_a_flag_taken_back_lets_the_session_run_on(day, helper):
    clock_set(day.trackday, local(9, 6))
    flag = do("session flag", helper, day.trackday, session=day.sessions[0].pk)
    do("withdraw", helper, day.trackday, row=str(flag.pk))
    assert trackday_times(day.trackday).sessions[0].state == SessionState.RUNNING


def test_a_session_that_has_not_started_has_no_flag(day, helper):
    act = do("session flag", helper, day.trackday, session=day.sessions[0].pk)
    assert act.outcome == "refused"
    assert "has not started" in act.answer["text"]


def test_a_cancelled_session_is_no_outing_and_asks_for_nothing(day, tuner, helper):
    entry, session = day.entries[0], day.sessions[0]
    do("arrived", helper, day.trackday, entry=entry.pk)
    do("session cancel", tuner, day.trackday, session=session.pk)
    bike = bike_now(entry)
    assert bike.where.roll == day.sessions[4].planned_start
    assert session.pk not in {task.session_id for task in bike.tasks}


def test_a_session_added_is_one_more_outing(day, tuner):
    group = day.groups[0]
    act = do(
        "session added",
        tuner,
        day.trackday,
        group=group.pk,
        planned_start=local(18).isoformat(),
        minutes=15,
    )
    assert act.outcome == "applied", act.answer
    assert len(bike_now(day.entries[0]).where.outings) == 7
    clash = do(
        "session added",
        tuner,
        day.trackday,
        group=group.pk,
        planned_start=local(18, 10).isoformat(),
        minutes=15,
    )
    assert "out from 18:00 to 18:15 already" in clash.answer["text"]


def test_two_groups_exchange_sessions(day, tuner):
    a, b = day.sessions[0], day.sessions[1]
    do("session trade", tuner, day.trackday, session=a.pk, other=b.pk)
    after = starts(day)
    assert (after[a.pk], after[b.pk]) == (b.planned_start, a.planned_start)


def test_lunch_absorbs_a_delay(day, tuner):
    lunch = do(
        "lunch",
        tuner,
        day.trackday,
        trackday=day.trackday.pk,
        start=local(12, 20).isoformat(),
        end=local(13).isoformat(),
        least_minutes=30,
    )
    assert lunch.outcome == "applied", lunch.answer
    before = starts(day)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    moved = {starts(day)[s.pk] - before[s.pk] for s in day.sessions if s.planned_start >= local(13)}
    assert moved == {minutes(5)}


def test_a_rider_who_changes_group_keeps_the_outings_he_had(day, helper):
    entry = day.entries[0]
    do("arrived", helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 45))
    act = do("group swap", helper, day.trackday, entry=entry.pk, group=day.groups[1].pk)
    assert act.outcome == "applied", act.answer
    went = bike_now(entry).where.outings
    assert went[0].times.session == day.sessions[0]
    assert {o.times.session.group_id for o in went[1:]} == {day.groups[1].pk}
    do("withdraw", helper, day.trackday, row=str(act.pk))
    assert Entry.objects.get(pk=entry.pk).group == day.groups[0]


def test_a_walk_up_has_arrived_and_is_late_after_the_groups_first_session(day, helper):
    clock_set(day.trackday, local(9, 30))
    today, groups = day.trackday, day.groups
    early = do("walk-up", helper, today, trackday=today.pk, group=groups[3].pk, name="Wim")
    late = do(
        "walk-up",
        helper,
        day.trackday,
        trackday=day.trackday.pk,
        group=day.groups[0].pk,
        name="Lou",
        number="77",
        phone="+353 1 5550123",
    )
    assert not Entry.objects.get(pk=early.answer["entry"]).late
    entry = Entry.objects.get(pk=late.answer["entry"])
    assert (entry.late, entry.number, entry.rider.phone) == (True, "77", "+353 1 5550123")
    asked = {task.item.code for task in bike_now(entry).open_tasks}
    assert asked == {"identify", "safety", "cold-pressures", "count"}


def test_another_rider_on_the_bike(day, helper):
    entry = day.entries[0]
    old = entry.rider
    act = do("rider on bike", helper, day.trackday, entry=entry.pk, name="Sib")
    assert Entry.objects.get(pk=entry.pk).rider.name == "Sib"
    do("withdraw", helper, day.trackday, row=str(act.pk))
    assert Entry.objects.get(pk=entry.pk).rider == old


def test_crew_comes_and_goes(day, tuner, helper):
    do("crew joins", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk)
    assert day.trackday.crew.count() == 1
    do("crew leaves", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk)
    assert day.trackday.crew.get().leaves_at == local(8)
    nobody = do("crew leaves", tuner, day.trackday, trackday=day.trackday.pk, user=tuner.pk)
    assert "not in today's crew" in nobody.answer["text"]


def test_an_act_of_another_days_screen_is_refused(day, helper):
    from tests.days import day_build

    other = day_build(bikes=1)
    act = do("arrived", helper, other.trackday, entry=day.entries[0].pk)
    assert act.outcome == "refused"
    assert "another day" in act.answer["text"]


def test_a_customer_does_nothing_trackside(day, customer_a):
    act = do("arrived", customer_a, day.trackday, entry=day.entries[0].pk)
    assert act.outcome == "refused"


def test_every_kind_of_act_can_be_kept_with_its_reason(day, helper):
    do("arrived", helper, day.trackday, entry=999_999)
    kept = Act.objects.get()
    assert (kept.outcome, kept.answer["text"]) == (
        "refused",
        "entry: this bike is not entered here.",
    )


def test_working_on_a_bike_means_it_is_here(day, helper):
    tick("identify", helper, day.entries[0])
    assert bike_now(day.entries[0]).where.place == BikePlace.IN
