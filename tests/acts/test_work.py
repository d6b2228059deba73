"""Ticks, skips, holds: done once and both kept, held by a failed point, released by a tuner."""

import pytest

from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Finding, Reading
from jobs.worklist.enums import BikeState, TaskState
from jobs.worklist.models import Hold, TaskMark
from tests.acts.doing import bike_now, clock_set, do, item, task_now, tick
from tests.days import local

pytestmark = pytest.mark.django_db

PRESSURES = [
    {
        "kind": "pressure",
        "end": end,
        "tyre_state": "cold",
        "values": [{"name": "pressure", "value": value, "unit": "psi"}],
    }
    for end, value in (("front", "32.5"), ("rear", "29"))
]


def test_a_tick_is_done(day, helper):
    assert tick("identify", helper, day.entries[0]).answer["text"] == "Done: Identify, tag, photo."
    assert task_now(day.entries[0], "identify").state == TaskState.DONE


def test_two_ticks_of_one_task_are_both_kept_and_nothing_is_asked(day, helper, tuner):
    tick("identify", helper, day.entries[0])
    again = tick("identify", tuner, day.entries[0])
    assert again.outcome == "applied"
    assert again.answer["text"] == "Hal did it at 08:00 already; both are kept."
    assert TaskMark.objects.count() == 2


def test_readings_entered_on_a_tick_are_in_the_book(day, helper):
    act = tick("cold-pressures", helper, day.entries[0], readings=PRESSURES)
    assert act.outcome == "applied", act.answer
    assert [str(r.measurements.get().value) for r in Reading.objects.all()] == ["32.500", "29.000"]


def test_a_number_without_a_unit_refuses_the_whole_tick(day, helper):
    wrong = [{**PRESSURES[0], "values": [{"name": "pressure", "value": "2.2", "unit": "mm"}]}]
    act = tick("cold-pressures", helper, day.entries[0], readings=wrong)
    assert act.outcome == "refused"
    assert "pressure needs a unit" in act.answer["text"]
    assert not TaskMark.objects.exists()


def test_the_count_on_a_tick_is_the_baseline(day, helper):
    entry = day.entries[0]
    counts = [
        {"adjuster": adjuster.pk, "position": "10"}
        for adjuster in Adjuster.objects.filter(bike=entry.bike)
    ]
    assert tick("count", helper, entry, counts=counts).outcome == "applied"
    assert Adjustment.objects.filter(kind="baseline", to_position=10).count() == 4


def test_a_count_of_another_bike_is_refused(day, helper):
    other = Adjuster.objects.filter(bike=day.entries[1].bike).first()
    act = tick("count", helper, day.entries[0], counts=[{"adjuster": other.pk, "position": "1"}])
    assert "on another bike" in act.answer["text"]


def test_the_riders_words_are_kept_as_said(day, helper):
    entry, session = day.entries[0], day.sessions[0]
    do("arrived", helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 21))
    said = [{"words": "it pumps, out of turn 3", "corner": "Long right", "phase": "exit"}]
    assert tick("words", helper, entry, session.pk, said=said).outcome == "applied"
    row = Finding.objects.get()
    assert (row.words, row.corner, row.by_rider, row.session) == (
        "it pumps, out of turn 3",
        "Long right",
        True,
        session,
    )


def test_taking_a_tick_back_strikes_through_what_it_entered(day, helper):
    entry = day.entries[0]
    act = tick("cold-pressures", helper, entry, readings=PRESSURES)
    back = do("withdraw", helper, day.trackday, row=str(act.pk))
    assert back.outcome == "applied", back.answer
    assert task_now(entry, "cold-pressures").state == TaskState.OPEN
    assert Reading.objects.filter(withdrawn_at=None).count() == 0
    assert Reading.objects.count() == 2


def test_a_helper_does_not_take_back_what_a_tuner_did(day, helper, tuner):
    act = tick("identify", tuner, day.entries[0])
    back = do("withdraw", helper, day.trackday, row=str(act.pk))
    assert (back.outcome, back.answer["text"]) == (
        "refused",
        "What a tuner did, a tuner takes back.",
    )


def test_a_failed_safety_point_holds_the_bike(day, helper):
    entry = day.entries[0]
    points = {p["code"]: "pass" for p in item(day.trackday, "safety").points}
    act = tick("safety", helper, entry, points={**points, "wheels": "fail"}, words="front, play")
    assert "is held" in act.answer["text"]
    assert bike_now(entry).state == BikeState.HELD
    hold = Hold.objects.get()
    assert (hold.point, hold.raised_by) == ("wheels", helper)
    assert hold.words == "front, play"


def test_a_point_nobody_looked_at_is_not_checked_and_holds_nothing(day, helper):
    tick("safety", helper, day.entries[0], points={"tyres": "pass"})
    assert TaskMark.objects.get().points["wheels"] == "not_checked"
    assert not Hold.objects.exists()


def test_only_a_tuner_releases_and_only_the_hold_he_saw(day, helper, tuner):
    entry = day.entries[0]
    seen = do("hold", helper, day.trackday, entry=entry.pk, words="oil on the fork tube")
    do("hold", helper, day.trackday, entry=entry.pk, words="front tyre: cords")
    by_helper = do("release", helper, day.trackday, hold=seen.answer["hold"], reason="wiped")
    assert by_helper.answer["text"] == "Only a tuner releases a hold."
    done = do("release", tuner, day.trackday, hold=seen.answer["hold"], reason="old oil, dry")
    assert done.answer["still_held"] == 1
    assert [hold.words for hold in bike_now(entry).holds] == ["front tyre: cords"]


def test_a_release_needs_its_reason(day, helper, tuner):
    seen = do("hold", helper, day.trackday, entry=day.entries[0].pk, words="leak")
    act = do("release", tuner, day.trackday, hold=seen.answer["hold"], reason="")
    assert act.outcome == "refused"
    assert "reason" in act.answer["text"]


def test_a_held_bike_that_goes_out_is_recorded_and_stays_held(day, helper):
    entry = day.entries[0]
    do("hold", helper, day.trackday, entry=entry.pk, words="loose caliper")
    do("arrived", helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 3))
    act = do("bike out", helper, day.trackday, entry=entry.pk)
    assert "is out though it is held: loose caliper" in act.answer["text"]
    bike = bike_now(entry)
    assert (bike.state, bike.where.held_but_out, len(bike.holds)) == (BikeState.OUT, True, 1)


def test_a_tuners_task_is_not_a_helpers(day, helper):
    entry, session = day.entries[0], day.sessions[0]
    act = tick("follow-up", helper, entry, session.pk)
    assert "is a tuner's work" in act.answer["text"]


def test_a_skip_says_why(day, helper):
    which = item(day.trackday, "noted")
    plain = {"entry": day.entries[0].pk, "item": which.pk}
    assert do("skip", helper, day.trackday, **plain, reason="").outcome == "refused"
    assert do("skip", helper, day.trackday, **plain, reason="rider is away").outcome == "applied"
    assert task_now(day.entries[0], "noted").state == TaskState.SKIPPED


def test_a_started_task_is_ones_own_until_done(day, helper):
    entry = day.entries[0]
    which = item(day.trackday, "identify")
    do("start task", helper, day.trackday, entry=entry.pk, item=which.pk)
    task = task_now(entry, "identify")
    assert (task.state, task.started_by) == (TaskState.STARTED, helper.pk)
    tick("identify", helper, entry)
    assert task_now(entry, "identify").state == TaskState.DONE


def test_a_cold_push_is_answered_as_cold_with_its_reason(day, helper):
    values = [{"name": "seconds", "value": "1.2", "unit": "s"}]
    entry = day.entries[0]
    act = do(
        "reading", helper, day.trackday, entry=entry.pk, kind="push", end="rear", values=values
    )
    assert "Oil cold, cold 3.9–4.5 times as thick as hot" in act.answer["text"]
