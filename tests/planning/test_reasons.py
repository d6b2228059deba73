"""Why something is missed or late, in words."""

from dataclasses import replace

from jobs.planning import Assignment, Cause, Reason, plan, reason_words
from jobs.planning.bench.random_days import random_day

from .building import ANN, BEN, day, task


def reasons(problem, **options):
    made = plan(problem, **options)
    return {m.task: (m.reason.cause, reason_words(problem, m)) for m in made.missed}


def test_the_tuner_is_on_other_work():
    problem = day(
        task(
            "follow-up 3",
            window=(480, 490),
            skill="tuner",
            kind="follow-up",
            miss_cost=50,
            bike=3,
            minutes=10,
        ),
        task("follow-up 4", window=(480, 490), skill="tuner", kind="follow-up", bike=4),
    )
    assert reasons(problem) == {
        "follow-up 4": (
            Cause.TUNER,
            "the tuner is on follow-up until 08:10; bike 4 has until 08:10; "
            "done instead: follow-up 3",
        )
    }


def test_everyone_is_on_other_work():
    blocked = [
        task(f"sag {i}", window=(480, 490), minutes=10, kind="sag", miss_cost=40) for i in (1, 2)
    ]
    problem = day(*blocked, task("reads", window=(482, 490), bike=9))
    assert reasons(problem)["reads"] == (
        Cause.HELPER,
        "everyone is on sag until 08:10; bike 9 has until 08:10; done instead: sag 1, sag 2",
    )


def test_no_two_people_together():
    long = task("long", window=(480, 490), minutes=10, miss_cost=90)
    problem = day(long, task("sag", window=(480, 490), people=2, minutes=8, bike=5))
    cause, words = reasons(problem)["sag"]
    assert cause == Cause.TWO_AT_ONCE
    assert words.startswith("no two people are free together before 08:10 for bike 5")


def test_the_bike_is_being_worked_on():
    problem = day(
        task("check", window=(480, 490), minutes=8, bike=1, miss_cost=90),
        task("reads", window=(480, 490), bike=1),
    )
    assert reasons(problem)["reads"][0] == Cause.BIKE


def test_on_track_between_two_windows():
    busy = [
        task(f"{p} {w[0]}", window=w, minutes=6, miss_cost=90, skill=s)
        for w in ((480, 486), (540, 546))
        for p, s in (("x", "tuner"),)
    ]
    sag = replace(task("sag", skill="tuner", bike=6), windows=((480, 486), (540, 546)))
    cause, words = reasons(day(*busy, sag, crew=[ANN]))["sag"]
    assert cause == Cause.ON_TRACK
    assert words.startswith("bike 6 is on track for most of the time; it has until 09:06")


def test_what_has_to_come_before_is_not_done():
    problem = day(
        task("first", window=(480, 485), kind="arrival safety", miss_cost=1, skill="tuner"),
        task("dear", window=(480, 485), miss_cost=50, skill="tuner"),
        task("later", requires=("first",)),
    )
    assert reasons(problem)["later"][0] == Cause.PRECEDENCE
    assert reasons(problem)["later"][1].startswith("arrival safety has to come before it")


def test_the_window_is_over():
    cause, words = reasons(day(task("reads", window=(480, 490), bike=2)), now=600)["reads"]
    assert (cause, words) == (Cause.PAST, "its time is over: bike 2 had until 08:10")


def test_nobody_is_here():
    away = replace(BEN, off=((470, 500),))
    cause, words = reasons(day(task("reads", window=(480, 490), bike=2), crew=[away]))["reads"]
    assert (cause, words) == (Cause.HELPER, "nobody who can do it is here; bike 2 has until 08:10")


def test_lateness_is_given_in_minutes_with_the_tasks_done_first():
    locked = Assignment("long", 480, ("Ann",))
    problem = day(
        task("long", minutes=20, skill="tuner", kind="hand-over"),
        task("next", skill="tuner", due=490, late_cost_per_min=1, miss_cost=20, bike=8),
        crew=[ANN],
    )
    made = plan(problem, locked=[locked], now=481)
    assert [x.minutes for x in made.late] == [15]
    assert reason_words(problem, made.late[0]) == (
        "ends 15 min late; the tuner is on hand-over until 08:20; bike 8 has until 09:00; "
        "done instead: long"
    )


def test_the_rest_of_the_window_gives_the_reason_not_the_past_part():
    problem = day(
        task("spring", window=(600, 620), minutes=20, miss_cost=90, skill="tuner", kind="spring"),
        task("follow-up", window=(500, 610), minutes=6, skill="tuner", bike=2),
    )
    cause, words = reasons(problem, now=600)["follow-up"]
    assert cause == Cause.TUNER
    assert words.startswith("the tuner is on spring until 10:20; bike 2 has until 10:10")


def test_no_time_is_left_before_the_following_task():
    first = task("judge", window=(480, 490), bike=7, minutes=5, miss_cost=1)
    second = task("follow-up", window=(480, 484), bike=7, minutes=4, after=("judge",), miss_cost=90)
    problem = day(first, second, crew=[ANN])
    made = plan(problem, iterations=20)
    (missed,) = made.missed
    cause, words = missed.reason.cause, reason_words(problem, missed)
    assert (missed.task, cause) == ("judge", Cause.PRECEDENCE)
    assert words.startswith("no time is left before what follows it on bike 7; bike 7 has until")


def test_as_many_reasons_as_asked_for_and_the_same_plan():
    problem = random_day(12, 3)
    full = plan(problem, iterations=20)
    short = plan(problem, iterations=20, reasons=2)
    assert len(full.missed) > 2
    assert short.missed[:2] == full.missed[:2]
    assert {missed.reason for missed in short.missed[2:]} == {Reason()}
    assert replace(short, missed=full.missed) == full
