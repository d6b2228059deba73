"""Simulated days: what happens to a plan when minutes scatter."""

from dataclasses import replace

import pytest

from jobs.planning.bench import invented_crews, kept_days, survival
from jobs.planning.bench.planned_crew import PlannedCrew
from jobs.planning.bench.random_days import random_day
from jobs.planning.bench.simulated_world import World, calm_world, random_world
from jobs.planning.bench.simulator import SimulatedDay
from jobs.planning.bench.survival_days import safety_first
from jobs.planning.model import ProblemError
from tests.planning.building import BEN, day, task


class FixedPlan:
    """A crew that keeps to its first plan, and takes what ``spare`` says."""

    def __init__(self, slots, spare=None):
        self.slots, self.takes = slots, spare or {}

    def first_plan(self, day):
        return self.slots

    def next_plan(self, day):
        return dict(day.slots)

    def spare(self, day):
        return self.takes


def simulated(problem, slots, world=None, **options):
    return SimulatedDay(problem, world or calm_world(problem), FixedPlan(slots, **options)).run()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_day_that_goes_as_planned_costs_what_its_plan_says(seed):
    problem = safety_first(random_day(8, seed))
    crew = PlannedCrew()
    assert SimulatedDay(problem, calm_world(problem), crew).run().cost() == crew.stated_cost > 0


def test_work_begins_as_soon_as_it_can():
    problem = day(task("a", (480, 500)), task("b", (480, 500)), crew=[BEN])
    done = simulated(problem, {"a": (480, ("Ben",)), "b": (490, ("Ben",))})
    assert done.began == {"a": 480, "b": 485}


def test_work_that_takes_too_long_is_broken_off_two_minutes_after_its_window():
    problem = day(task("a", (480, 487), miss_cost=30), crew=[BEN])
    slots = {"a": (480, ("Ben",))}
    assert simulated(problem, slots, World({"a": 9.0})).cost() == 0
    late = simulated(problem, slots, World({"a": 9.1}))
    assert (late.cost(), late.ended["a"], late.missed()) == (30, 489, ["a"])


def test_a_late_bike_is_waited_for_to_the_next_whole_minute():
    problem = day(task("a", (480, 520), bike=7, kind="identify"), crew=[BEN])
    world = replace(calm_world(problem), late={7: 12.5})
    assert simulated(problem, {"a": (480, ("Ben",))}, world).began == {"a": 493}


def test_a_delay_moves_what_is_ahead():
    problem = day(task("a", (560, 570)), crew=[BEN])
    world = replace(calm_world(problem), delays=((550, 15),))
    assert simulated(problem, {"a": (560, ("Ben",))}, world).began == {"a": 575}


def test_a_rider_who_is_away_costs_nothing():
    problem = day(task("a", (480, 490)), task("b", (480, 500), requires=("a",)), crew=[BEN])
    world = replace(calm_world(problem), absent=frozenset({"a"}))
    done = simulated(problem, {"a": (480, ("Ben",)), "b": (490, ("Ben",))}, world)
    assert (done.cost(), done.missed(), done.ended["a"]) == (0, [], 481)


def test_lateness_costs_by_the_minute():
    problem = day(task("a", (480, 520), due=484, late_cost_per_min=3), crew=[BEN])
    assert simulated(problem, {"a": (480, ("Ben",))}, World({"a": 6.5})).cost() == 7.5


def test_who_has_no_work_takes_what_he_is_offered():
    problem = day(task("a", (480, 500)), crew=[BEN])
    assert simulated(problem, {}).missed() == ["a"]
    done = simulated(problem, {}, spare={"Ben": "a"})
    assert (done.cost(), done.taken) == (0, 1)


def test_a_world_is_the_same_whatever_the_crew_does():
    problem = random_day(10, 1)
    assert random_world(problem, 5, 0.4) == random_world(problem, 5, 0.4)
    assert random_world(problem, 5, 0.4) != random_world(problem, 6, 0.4)


def test_minutes_are_as_planned_on_average():
    problem = random_day(40, 1)
    planned = sum(t.minutes for t in problem.tasks)
    for variation in (0.2, 0.4, 0.6):
        minutes = random_world(problem, 1, variation).minutes
        assert sum(minutes.values()) == pytest.approx(planned, rel=0.08)


def test_a_line_for_each_bar_says_whether_it_is_met(monkeypatch):
    monkeypatch.setattr(survival, "CALM_SIZES", (4,))
    monkeypatch.setattr(survival, "MORNING_BIKES", 6)
    monkeypatch.setattr(invented_crews, "CREWS", 2)
    calm, learned, offers, cost, chances, bands, mornings = survival.run(2, [4], [0.4])
    assert calm.endswith("(bar: the same) met")
    assert offers.startswith("4 bikes, variation 0.4, 2 days: cost ")
    assert offers.endswith((" met", " NOT MET"))
    assert learned.startswith("2 invented crews, variation 0.4, 3 days learned: the 80% quantile")
    assert cost.startswith("4 bikes, variation 0.4, 2 days: stated cost ")
    assert "Brier" in chances
    assert bands.startswith("  said and was, with how many: ")
    assert all(line.endswith((" met", " NOT MET")) for line in (learned, cost, chances, bands))
    assert mornings.startswith("short mornings, 6 bikes, 2 days: safety missed ")


def test_a_run_that_was_broken_off_goes_on_where_it_was(tmp_path, monkeypatch):
    file, asked = tmp_path / "days", kept_days.days_asked([4], [0.4], 3)
    whole = kept_days.simulate(asked, file)
    written = file.read_text()
    file.write_text("".join(written.splitlines(keepends=True)[:2]))
    assert kept_days.simulate(asked, file) == whole
    assert file.read_text() == written
    monkeypatch.setattr(kept_days, "_simulated", lambda asked: iter(list(asked)[:0]))
    assert kept_days.simulate(asked, file) == whole


def test_the_parts_of_a_run_are_the_whole_and_each_day_is_in_one():
    whole = kept_days.days_asked([20, 40], [0.2, 0.4], 60)
    parts = [d for k in (1, 2, 3) for d in kept_days.days_asked([20, 40], [0.2, 0.4], 60, (k, 3))]
    assert sorted(parts) == sorted(whole)
    assert len(set(whole)) == len(whole) == 2 * 4 * 60


def test_a_file_with_a_broken_line_is_refused_by_its_number(tmp_path):
    file = tmp_path / "days"
    kept_days.simulate(kept_days.days_asked([4], [0.4], 1), file)
    file.write_text(file.read_text() + '{"which": [4')
    with pytest.raises(ProblemError, match="line 3 is no simulated day"):
        kept_days.simulate(kept_days.days_asked([4], [0.4], 1), file)
