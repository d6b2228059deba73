"""What is made of a bike's own figures: rates, frequency, its linkage, its tyre's depths."""

import pytest
from django.urls import reverse

from jobs.calculators.bike import numbers_of_bike
from jobs.calculators.figures import natural_hz, wheel_rate
from jobs.setups.reading_kinds import SAG, WEAR
from tests.advice.test_ring_outlook import changed, ridden, ring

__all__ = ["ridden"]
pytestmark = pytest.mark.django_db


def weighed(bike):
    """80 kg of it sprung on the front wheel."""
    bike.front_weight_kg, bike.front_unsprung_kg = 96, 16
    return bike


def test_rates_and_frequency_of_an_end_from_its_own_figures(bike):
    """Computed by hand: 19 / cos^2(24 deg) = 22.766 N/mm; sqrt(22766 / 80) / 2 pi = 2.685 Hz."""
    assert natural_hz(bike, "front") is None
    weighed(bike)
    assert wheel_rate(bike, "front") == pytest.approx(22.766, abs=1e-3)
    assert natural_hz(bike, "front") == pytest.approx(2.685, abs=1e-3)
    bike.rake_deg = 80  # cannot be: nothing is said
    assert natural_hz(bike, "front") is None


def test_the_rear_stands_on_its_curve_not_on_a_mean_ratio(bike):
    bike.rear_usable_travel_mm = 120
    on_curve = wheel_rate(bike, "rear")
    bike.linkage_curve = []
    assert wheel_rate(bike, "rear") == pytest.approx(95 * 0.5**2)
    assert on_curve != pytest.approx(95 * 0.5**2, rel=0.01)


def test_the_push_page_has_the_bikes_frequency_and_no_ratio_from_a_return_time(bench, read_bike):
    page = reverse("workbench:page", args=["push"], query={"bike": read_bike.pk})
    assert "damping ratio" not in bench.get(page).content.decode()
    weighed(read_bike).save()
    assert 'value="2.68"' in bench.get(page).content.decode()


def test_a_turn_of_rear_preload_is_worked_out_on_the_curve(bench, bike, read):
    read(SAG.name, "rear", ("hanging", 640, "mm", 640), ("after_push", 606, "mm", 606),
         ("after_lift", 610, "mm", 610))  # fmt: skip
    assert numbers_of_bike(bike, "sag", "rear")["curve"].startswith("0 0\n20 9.2")
    page = reverse("workbench:page", args=["sag"], query={"bike": bike.pk, "end": "rear"})
    assert (
        "there on the curve" in bench.get(page, {"bike": bike.pk, "end": "rear"}).content.decode()
    )


def test_depths_of_all_places_are_filled_and_the_first_worn_out_ends_the_tyre(bench, bike, read):
    for left, centre in zip((4.0, 3.6, 3.1, 2.7, 2.3), (4.0, 3.7, 3.5, 3.1, 2.9), strict=True):
        read(WEAR.name, "rear", ("left", left, "mm", left), ("centre", centre, "mm", centre))
    page = reverse("workbench:page", args=["wear"], query={"bike": bike.pk})
    text = bench.get(page).content.decode()
    assert "left: " in text
    assert "Each place has its own line" in text
    filled = numbers_of_bike(bike, "wear")
    assert filled["left"].splitlines()[-1] == "4 2.3"
    assert "right" not in filled


def test_rings_are_filled_in_since_the_springs_or_preload_were_last_changed(ridden):
    ridden.came_in(1)
    for number, used in enumerate((90, 92), 1):
        ring(ridden, number, "front", used)
    assert numbers_of_bike(ridden.entry.bike, "ring", "front")["rings"] == "90\n92"
    changed(ridden, "front", 6)
    assert "rings" not in numbers_of_bike(ridden.entry.bike, "ring", "front")
    ring(ridden, 3, "front", 89)
    assert numbers_of_bike(ridden.entry.bike, "ring", "front")["rings"] == "89"
