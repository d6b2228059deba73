"""The pages of the workbench: filled from a bike, answering while one types, own figures."""

import pytest
from django.urls import reverse

from jobs.calculators.bike import numbers_of_bike
from jobs.calculators.catalogue import BY_SLUG, CALCULATORS
from jobs.people.models import OwnBand
from jobs.people.selectors import business_get, own_bands
from tests.markup import one_line
from tests.queries import page_queries

pytestmark = pytest.mark.django_db


def page(slug, **query):
    return reverse("workbench:page", args=[slug], query=query)


def answer(slug, **query):
    return reverse("workbench:answer", args=[slug], query=query)


def test_home_leads_to_every_calculator(bench, bike):
    plain = bench.get(reverse("workbench:home")).content.decode()
    with_bike = bench.get(reverse("workbench:home"), {"bike": bike.pk}).content.decode()
    for calculator in CALCULATORS:
        assert f'href="{page(calculator.slug)}"' in plain
        assert f'href="{page(calculator.slug, bike=bike.pk)}"' in with_bike


@pytest.mark.parametrize("slug", BY_SLUG)
def test_every_page_opens_empty_and_shows_how_it_is_worked_out(bench, slug):
    text = bench.get(page(slug)).content.decode()
    for field in BY_SLUG[slug].fields:
        assert f'name="{field.name}"' in text
    assert "How it is worked out" in text
    assert "Source:" in text


@pytest.mark.parametrize(
    ("slug", "says"),
    [
        ("sag", "29.0 mm"),
        ("fork-rate", "22.77 N/mm"),
        ("wear", "5.7"),
        ("pace", "−3.1 s"),
        ("temperatures", "12 °C"),
        ("travel", "75 %"),
        ("push", "slow return"),
        ("geometry", "−1.1 mm"),
    ],
)
def test_a_bikes_numbers_are_filled_in_and_worked_out(bench, read_bike, slug, says):
    assert says in bench.get(page(slug, bike=read_bike.pk)).content.decode()


def test_a_hot_pressure_becomes_what_to_set_cold_inside_the_tyres_range(bench, read_bike):
    text = bench.get(page("pressure", bike=read_bike.pk, target="30")).content.decode()
    assert "22.9 psi" in text
    tight = bench.get(page("pressure", bike=read_bike.pk, target="34")).content.decode()
    assert "22.9 psi" not in tight


def test_the_price_of_the_bikes_tyre_is_in_it(bench, read_bike):
    assert "16.80 EUR" in bench.get(page("wear", bike=read_bike.pk)).content.decode()


def test_what_is_seldom_typed_is_folded_and_still_said_and_sent(bench, read_bike):
    text = one_line(bench.get(page("pressure", bike=read_bike.pk)).content.decode())
    folded = text.split('<details class="further">')[1]
    assert 'name="cold_low" value="150"' in folded
    assert "maker&#x27;s range cold, from<b>150 kPa</b>" in folded
    assert 'name="cold"' not in folded


def test_what_is_typed_wins_over_what_is_known(bench, read_bike):
    assert "28.0 mm" in bench.get(page("sag", bike=read_bike.pk, hanging="126")).content.decode()


def test_every_filler_fills_only_inputs_there_are(read_bike):
    for slug, calculator in BY_SLUG.items():
        names = {name for one in calculator.fields for name in (one.name, one.unit_name)}
        assert set(numbers_of_bike(read_bike, slug)) <= names


def test_the_answer_alone_is_a_fragment(bench):
    text = bench.get(
        answer("sag", end="front", hanging="127", after_push="95", after_lift="101", travel="120")
    ).content.decode()
    assert "29.0 mm" in text
    assert "<html" not in text


def test_typed_text_is_shown_as_text(bench):
    text = bench.get(page("sag", hanging="<script>")).content.decode()
    assert "<script>" not in text.split("</header>")[1].split("<script type=")[0]
    assert "&lt;script&gt;" in text


def test_a_helper_gets_answers_without_money_and_no_pages(helper, business, signed_in, bike):
    browser = signed_in(helper)
    for slug, calculator in BY_SLUG.items():
        assert browser.get(answer(slug)).status_code == (200 if calculator.crew else 403)
        assert browser.get(page(slug)).status_code == 403
    assert not BY_SLUG["wear"].crew


@pytest.mark.parametrize("wanted", ["999999", "x", "-1"])
def test_an_unknown_bike_or_calculator_is_not_found(bench, wanted):
    assert bench.get(page("sag", bike=wanted)).status_code == 404
    assert bench.get(page("guess")).status_code == 404


def test_queries_do_not_grow_with_the_bikes_readings(bench, read_bike, read):
    few = page_queries(bench, page("wear", bike=read_bike.pk))
    for mm in (2.4, 2.2, 1.9):
        read("wear", "rear", ("centre", mm, "mm", mm))
    assert page_queries(bench, page("wear", bike=read_bike.pk)) == few == 9


def test_own_figures_are_kept_used_and_given_back(bench):
    url = reverse("workbench:table")
    assert "sources disagree" in bench.get(url).content.decode()
    kept = bench.post(url, {"sag_rear_rider_low": "26", "sag_rear_rider_high": "32,5"})
    assert (kept.status_code, kept.url) == (302, url)
    assert own_bands(business_get())["sag_rear_rider"] == (26.0, 32.5)
    shown = bench.get(
        answer("sag", end="rear", hanging="127", after_push="95", after_lift="101", travel="120")
    ).content.decode()
    assert "26–32.5 mm" in shown
    bench.post(url, {})
    assert not OwnBand.objects.exists()


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [("32", "26", "lower to a higher"), ("26", "", "Both ends"), ("a", "b", "Both ends"),
     ("-5", "5", "not below zero"), ("1", "5000", "1000"), ("nan", "5", "lower to a higher|not a")],
)  # fmt: skip
def test_a_bad_band_loses_nothing_that_was_typed(bench, low, high, says):
    import re

    response = bench.post(
        reverse("workbench:table"),
        {"sag_rear_rider_low": low, "sag_rear_rider_high": high, "rise_rear_low": "5",
         "rise_rear_high": "7"},
    )  # fmt: skip
    text = one_line(response.content.decode())
    assert response.status_code == 422
    assert re.search(says, text)
    assert f'name="sag_rear_rider_low" value="{low}"' in text
    assert 'name="rise_rear_high" value="7"' in text
    assert not OwnBand.objects.exists()


def test_the_pace_that_reopens_a_setup_is_the_businesss_way(business):
    business.pace_trigger_s = 2.5
    business.save()
    OwnBand.objects.create(key="travel_rear_quick", low=70, high=92)
    bands = own_bands(business_get())
    assert (bands["pace_trigger"], bands["travel_rear_quick"]) == ((2.5, 2.5), (70.0, 92.0))
