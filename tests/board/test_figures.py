"""The form of a chassis: of a bike and of a model sheet, feeding the calculators."""

import json
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.garage.models import ModelSheet
from jobs.garage.services import bike_set_up, sheet_from_bike

from ..days import day_build

pytestmark = pytest.mark.django_db

UNITS = {"unit_length": "mm", "unit_fork": "N/mm", "unit_shock": "N/mm", "unit_mass": "kg"}


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def write(browser, entry, **figures):
    address = reverse("board:sheet-figures", args=[entry.pk])
    page = browser.post(address, {**UNITS, **figures}, follow=True).content.decode()
    entry.bike.refresh_from_db()
    return page


def test_springs_are_typed_and_shown_in_the_units_of_the_box_they_came_in(browser, entry):
    write(
        browser, entry, unit_fork="kgf/mm", unit_shock="lbf/in",
        front_spring_left_n_per_mm="0,95", rear_spring_n_per_mm="450",
    )  # fmt: skip
    bike = entry.bike
    assert bike.front_spring_left_n_per_mm == Decimal("9.316")
    assert bike.rear_spring_n_per_mm == Decimal("78.807")
    page = browser.get(reverse("board:sheet-figures", args=[entry.pk])).content.decode()
    assert 'name="front_spring_left_n_per_mm" value="0.95"' in page
    assert 'name="rear_spring_n_per_mm" value="450"' in page
    assert '<option value="kgf/mm" selected>' in page


def test_what_cannot_be_meant_is_named_and_nothing_is_lost_or_written(browser, entry):
    page = write(browser, entry, rake_deg="24", front_usable_travel_mm="4.7")
    assert "4.7 mm cannot be meant" in page
    assert 'name="rake_deg" value="24"' in page
    assert entry.bike.rake_deg is None


def test_a_curve_that_is_none_is_named(browser, entry):
    page = write(browser, entry, linkage_curve="0 0\n10 4.6\n20 twelve")
    assert "“20 twelve” is no pair of wheel mm and shock mm." in page
    write(browser, entry, linkage_curve="0 0\n20 9.2\n40 18.8\n60 28.8")
    assert entry.bike.linkage_curve == [[0, 0], [20, 9.2], [40, 18.8], [60, 28.8]]


def test_a_trail_that_does_not_go_with_the_rest_is_said_and_kept(browser, entry):
    """R tan(rake) - d / cos(rake), Meijaard et al. 2007: 100.7 mm of 24 deg, 30 and 299.9 mm."""
    known = {"rake_deg": "24", "offset_mm": "30", "front_wheel_radius_mm": "299.9"}
    assert "is not as measured" not in write(browser, entry, **known, trail_mm="100")
    page = write(browser, entry, **known, trail_mm="85")
    assert "give a trail of 101 mm, not 85" in page
    assert entry.bike.trail_mm == 85


def test_the_calculators_begin_with_the_bikes_figures(browser, entry):
    write(
        browser, entry, rake_deg="24", trail_mm="100.685", front_wheel_radius_mm="299.9",
        wheelbase_mm="1400", rear_wheel_radius_mm="320", front_weight_kg="95",
        front_unsprung_kg="17", front_spring_left_n_per_mm="9.5",
        front_spring_right_n_per_mm="9.5", motion_ratio="0.52", front_usable_travel_mm="120",
    )  # fmt: skip

    def bench(slug):
        url = reverse("workbench:page", args=[slug])
        return browser.get(url, {"bike": entry.bike_id, "end": "front"}).content.decode()

    # No offset was typed: it is what gives that trail, 30 mm.
    assert 'name="offset"' in bench("geometry")
    assert 'value="30' in bench("geometry")
    fork = bench("fork-rate")
    assert 'value="9.5"' in fork
    assert 'value="78"' in fork  # 95 kg on the scales less 17 unsprung
    assert 'value="120"' in bench("travel")
    assert 'value="78"' in bench("spring-needed")
    assert 'value="17"' in bench("braking")


def test_a_model_sheets_figures_go_onto_the_next_bike_with_their_units(browser, entry):
    sheet = sheet_from_bike(bike=entry.bike, standards={})
    address = reverse("board:model-sheet-figures", args=[sheet.pk])
    browser.post(address, {**UNITS, "unit_fork": "kgf/mm", "front_spring_left_n_per_mm": "0.95"})
    page = browser.get(reverse("board:model-sheet", args=[sheet.pk])).content.decode()
    assert "0.95 kgf/mm" in page
    other = day_build(bikes=1).entries[0].bike
    bike_set_up(bike=other, sheet=ModelSheet.objects.get(pk=sheet.pk))
    other.refresh_from_db()
    assert (other.front_spring_left_n_per_mm, other.typed_in["fork"]) == (
        Decimal("9.316"),
        "kgf/mm",
    )
    text = browser.get(reverse("board:model-sheets-export", args=["json"])).content
    assert json.loads(text)["model_sheets"][0]["typed_in"]["fork"] == "kgf/mm"


def test_a_helper_writes_a_bikes_figures_and_not_a_model_sheets(signed_in, helper, entry):
    sheet = sheet_from_bike(bike=entry.bike, standards={})
    browser = signed_in(helper)
    assert browser.get(reverse("board:sheet-figures", args=[entry.pk])).status_code == 200
    address = reverse("board:model-sheet-figures", args=[sheet.pk])
    assert browser.get(address).status_code == 403
    shown = browser.get(reverse("board:model-sheet", args=[sheet.pk])).content.decode()
    assert "Write them" not in shown
