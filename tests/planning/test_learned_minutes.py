"""Minutes learned: against invented crews whose true minutes are known."""

from math import log, sqrt
from statistics import fmean

import pytest

from jobs.planning.bench.invented_crews import InventedCrew
from jobs.planning.learned_minutes import learned_minutes
from jobs.planning.work_times import WorkTime


@pytest.fixture(scope="module")
def crews():
    """Twenty crews, and what three days taught of each."""
    made = [InventedCrew(seed, 0.4) for seed in range(20)]
    return [(crew, times, learned_minutes(times)) for crew in made for times in [crew.days(3)]]


def rms(errors):
    return sqrt(fmean(error**2 for error in errors))


def test_three_days_teach_more_than_the_planned_minutes_or_the_mean_of_each(crews):
    planned, own_mean, learned = [], [], []
    for crew, times, taught in crews:
        for cell, true in crew.true.items():
            seen = [log(t.minutes) for t in times if (t.kind, t.person) == cell]
            planned.append(true)
            own_mean.append(fmean(seen) - true)
            learned.append(taught.effect(*cell) - true)
    assert rms(learned) < 0.75 * rms(own_mean)
    assert rms(learned) < 0.35 * rms(planned)


def test_four_of_five_new_tasks_stay_below_the_80_per_cent_quantile(crews):
    held = [
        crew.minutes(cell) <= taught.quantile(0.8, *cell)
        for crew, _times, taught in crews
        for cell in crew.true
        for _ in range(5)
    ]
    assert 0.77 <= fmean(held) <= 0.83


def test_the_sum_of_many_tasks_comes_out_right():
    crew = InventedCrew(99, 0.4)
    taught = learned_minutes(crew.days(10))
    tasks = [cell for cell in crew.true for _ in range(200)]
    assert sum(map(crew.minutes, tasks)) == pytest.approx(
        sum(taught.mean(*cell) for cell in tasks), rel=0.05
    )


def test_without_marks_everything_takes_as_long_as_planned():
    nothing = learned_minutes([])
    assert nothing.mean("sag") == nothing.mean("sag", "Ann") == pytest.approx(1)
    assert nothing.count("sag") == 0


def test_one_time_moves_little_and_many_move_nearly_all_the_way():
    one = learned_minutes([WorkTime("sag", "Ann", 8, 16)])
    many = learned_minutes([WorkTime("sag", "Ann", 8, 16)] * 200)
    assert 1 < one.mean("sag", "Ann") < 1.7
    assert 1.9 < many.mean("sag", "Ann") < 2.1
    assert many.count("sag") == 200


def test_a_person_slow_with_one_kind_counts_as_slower_with_another():
    taught = learned_minutes([WorkTime("sag", "Ann", 8, 12), WorkTime("sag", "Ben", 8, 8)] * 30)
    assert taught.mean("count", "Ann") > 1.05 > taught.mean("count", "Ben")
