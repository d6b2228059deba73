"""The bike sheet: what it shows, what a tap writes, and what it costs."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.garage.enums import Function
from jobs.garage.models import Adjuster, Fitting
from jobs.garage.services import adjuster_describe
from jobs.people.models import Business
from jobs.setups import services
from jobs.setups.enums import RowState
from jobs.setups.models import Adjustment, Judgement, Order, Reading
from jobs.setups.services.readings import Value
from jobs.trackday.models import Entry
from tests.markup import one_line

from ..days import day_build, local
from ..queries import page_queries
from ..setups.writing import arrive, change, count, origin, rear_rebound, stands_at

pytestmark = pytest.mark.django_db

# Five for what the readings come to, one for photos, one for travel of an unknown place.
SHEET_QUERIES = 39


@pytest.fixture
def entry(cast):
    return day_build(bikes=2).entries[0]


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def address(entry: Entry, name: str = "sheet", *more) -> str:
    return reverse(f"board:{name}", args=[entry.pk, *more])


def written(entry: Entry, tuner) -> Adjustment:
    """A day's worth: a tyre, a count, a change with what is expected of it, a reading."""
    arrive(tuner, entry)
    Fitting.objects.create(
        bike=entry.bike, kind="tyre", end="rear", name="Slick", fitted_at=local(8)
    )
    count(tuner, entry, 14)
    row = change(tuner, entry, 14, 11, at=local(9, 22))
    services.expectation_write(origin=origin(tuner, entry), adjustment=row, text="settles at once")
    services.reading_take(
        origin=origin(tuner, entry), bike=entry.bike, kind="pressure", end="rear",
        values=[Value("pressure", Decimal("32.5"), "psi")],
    )  # fmt: skip
    return row


@pytest.mark.parametrize("bikes", [1, 3, 60])
def test_the_sheet_costs_the_same_however_many_bikes_there_are(browser, tuner, bikes):
    entries = day_build(bikes=bikes).entries
    for entry in entries[:3]:
        written(entry, tuner)
    assert page_queries(browser, address(entries[0])) == SHEET_QUERIES


def test_the_sheet_costs_the_same_after_ten_thousand_changes(browser, tuner, entry):
    row = written(entry, tuner)
    adjuster = row.adjuster
    Adjustment.objects.bulk_create(
        Adjustment(
            adjuster=adjuster, entry=entry, by=tuner, kind="change", state=RowState.PLACED,
            seq=10 + n, from_position=11 + n % 2, to_position=11 + (n + 1) % 2,
            done_at=row.done_at,
        )
        for n in range(10_000)
    )  # fmt: skip
    assert page_queries(browser, address(entry)) == SHEET_QUERIES


def test_the_sheet_says_where_everything_stands(browser, tuner, entry):
    written(entry, tuner)
    page = browser.get(address(entry)).content.decode()
    assert "11 out" in page
    assert "3 clicks firmer since arrived · oil hot" in page
    assert "settles at once" in page
    assert "Rear tyre pressure: 32.5 psi." in page
    assert 'aria-label="Rear rebound: 11 clicks out from closed, 3 clicks firmer"' in page


def test_a_change_in_three_taps(browser, tuner, entry):
    """Adjuster (the panel), step, done."""
    count(tuner, entry, 14)
    adjuster = rear_rebound(entry)
    panel = browser.get(address(entry, "sheet-change", adjuster.pk), headers={"HX-Request": "true"})
    assert f'name="from_{adjuster.pk}" value="14.000"' in panel.content.decode()
    answer = browser.post(
        address(entry, "sheet-change", adjuster.pk),
        {f"from_{adjuster.pk}": "14.000", "by": "-3", "how": "read_back"},
    )
    assert answer.status_code == 302
    row = Adjustment.objects.get(kind="change")
    assert (row.to_position, row.read_back) == (11, 11)


def test_a_page_that_showed_an_older_position_writes_an_unplaced_change(browser, tuner, entry):
    count(tuner, entry, 14)
    adjuster = rear_rebound(entry)
    change(tuner, entry, 14, 13)
    browser.post(
        address(entry, "sheet-change", adjuster.pk), {f"from_{adjuster.pk}": "14", "by": "-1"}
    )
    page = browser.get(address(entry)).content.decode()
    assert "It was done: place it" in page
    row = Adjustment.objects.get(state=RowState.UNPLACED)
    browser.post(address(entry, "sheet-act", "place"), {"row": str(row.pk)})
    assert "It was done: place it" not in browser.get(address(entry)).content.decode()


def test_a_refused_change_keeps_what_was_typed(browser, tuner, entry):
    count(tuner, entry, 14)
    adjuster = rear_rebound(entry)
    answer = browser.post(
        address(entry, "sheet-change", adjuster.pk),
        {f"from_{adjuster.pk}": "14", "to": "4", "expectation": "turns in sooner"},
    )
    page = answer.content.decode()
    assert "more than the usual 3 clicks" in page
    assert 'value="turns in sooner"' in page
    assert stands_at(adjuster) == 14


def test_a_pair_is_one_act_and_two_rows(browser, tuner, entry):
    legs = _pair(entry)
    for leg in legs:
        count(tuner, entry, 9, adjuster=leg)
    starts = {f"from_{leg.pk}": "9" for leg in legs}
    browser.post(address(entry, "sheet-change", legs[0].pk), {**starts, "by": "2"})
    rows = Adjustment.objects.filter(kind="change")
    assert {row.to_position for row in rows} == {11}
    assert len({row.linked for row in rows}) == 1


def test_a_pair_ordered_is_done_in_one_tap_and_stays_one_change(signed_in, tuner, helper, entry):
    legs = _pair(entry)
    for leg in legs:
        count(tuner, entry, 9, adjuster=leg)
    starts = {f"from_{leg.pk}": "9" for leg in legs}
    url = address(entry, "sheet-change", legs[0].pk)
    signed_in(tuner).post(url, {**starts, "by": "2", "how": "order", "second_reason": "rain"})
    browser = signed_in(helper)
    page = browser.get(address(entry)).content.decode()
    assert page.count("Done, counted again") == 1
    assert "both legs from 9 out to 11 out" in page
    order = Order.objects.first()
    moves = {**starts, **{f"to_{leg.pk}": "11" for leg in legs}}
    browser.post(url, {**moves, "order": str(order.pk), "how": "read_back"})
    rows = Adjustment.objects.filter(kind="change")
    assert {(row.to_position, row.second_reason) for row in rows} == {(11, "rain")}
    assert len({row.linked for row in rows}) == 1
    assert "Done, counted again" not in browser.get(address(entry)).content.decode()


def test_a_helper_is_offered_to_take_back_readings_and_not_what_a_tuner_set(
    signed_in, cast, tuner, entry
):
    row = written(entry, tuner)
    reading = Reading.objects.get()

    def offered(user):
        html = signed_in(user).get(address(entry)).content.decode()
        return [f'name="row" value="{one.pk}"' in html for one in (row, reading)]

    assert offered(tuner) == [True, True]
    assert offered(cast.helper) == [False, True]


def test_an_order_withdrawn_goes_with_all_its_legs(browser, tuner, entry):
    legs = _pair(entry)
    for leg in legs:
        count(tuner, entry, 9, adjuster=leg)
    starts = {f"from_{leg.pk}": "9" for leg in legs}
    browser.post(address(entry, "sheet-change", legs[0].pk), {**starts, "by": "2", "how": "order"})
    row = {"row": str(Order.objects.first().pk)}
    browser.post(address(entry, "sheet-act", "withdraw"), row)
    assert not Order.objects.filter(withdrawn_at=None).exists()


def test_a_large_step_is_asked_why_where_it_is_seen(browser, tuner, entry):
    """And the buttons go no further than the business's own usual most."""
    Business.objects.update_or_create(pk=1, defaults={"name": "H", "small_step_clicks": "2"})
    count(tuner, entry, 14)
    adjuster = rear_rebound(entry)
    panel = browser.get(address(entry, "sheet-change", adjuster.pk)).content.decode()
    assert "+2" in panel
    assert "+3" not in panel
    url = address(entry, "sheet-preview", adjuster.pk)
    start = {f"from_{adjuster.pk}": "14"}
    assert "Why more than usual" not in browser.get(url, {**start, "to": "12"}).content.decode()
    asked = browser.get(url, {**start, "to": "11", "step_reason": "rises slowly"}).content.decode()
    assert "More than the usual 2 clicks in one go" in asked
    assert 'value="rises slowly"' in asked


def test_unequal_legs_are_said_loudly(browser, tuner, entry):
    for leg, position in zip(_pair(entry), (9, 11), strict=True):
        count(tuner, entry, position, adjuster=leg)
    assert "left and right are unequal" in browser.get(address(entry)).content.decode()


def test_an_expectation_is_judged_with_one_tap(browser, tuner, entry):
    row = written(entry, tuner)
    expectation = row.expectations.get()
    browser.post(
        address(entry, "sheet-act", "judgement"),
        {"expectation": str(expectation.pk), "verdict": "seen"},
    )
    assert Judgement.objects.get().verdict == "seen"
    page = one_line(browser.get(address(entry)).content.decode())
    assert "settles at once</p><form" not in page


def test_a_reading_is_entered_in_the_unit_chosen(browser, entry):
    browser.post(
        address(entry, "sheet-read", "pressure"),
        {"end": "rear", "tyre_state": "cold", "pressure": "32,5", "unit_pressure": "psi"},
    )
    assert str(Reading.objects.get().measurements.get()) == "pressure 32.500 psi"


@pytest.mark.parametrize(("unit", "shown"), [("degC", "°C"), ("degF", "°F")])
def test_a_temperatures_unit_is_shown_as_people_write_it(browser, entry, business, unit, shown):
    business.temperature_unit = unit
    business.save()
    page = one_line(browser.get(address(entry, "sheet-read", "tyre_temperature")).content.decode())
    assert f'value="{unit}" checked>{shown}</label>' in page
    assert ">deg" not in page
    tyre = {"end": "rear", "tyre_state": "track", "centre": "71", "unit_temperature": unit}
    browser.post(address(entry, "sheet-read", "tyre_temperature"), tyre)
    again = browser.get(address(entry, "sheet-read", "tyre_temperature")).content.decode()
    assert f'data-before="71 {shown}"' in again


def test_a_number_that_is_none_is_named_and_the_rest_kept(browser, entry):
    answer = browser.post(
        address(entry, "sheet-read", "sag"),
        {"end": "rear", "hanging": "127", "after_push": "9s", "after_lift": "101"},
    )
    page = answer.content.decode()
    assert "“9s” is not a number" in page
    assert 'value="127"' in page
    assert Reading.objects.count() == 0


def test_a_helper_turns_by_order_only(signed_in, helper, tuner, entry):
    count(tuner, entry, 14)
    adjuster = rear_rebound(entry)
    form = {f"from_{adjuster.pk}": "14", "by": "-2"}
    browser = signed_in(helper)
    page = browser.post(address(entry, "sheet-change", adjuster.pk), form).content.decode()
    assert "by order only" in page
    order = services.order_write(
        origin=origin(tuner, entry),
        adjuster=adjuster,
        from_position=Decimal(14),
        to_position=Decimal(12),
    )
    browser.post(address(entry, "sheet-change", adjuster.pk), {**form, "order": str(order.pk)})
    row = Adjustment.objects.get(kind="change")
    assert (row.order, row.by, stands_at(adjuster)) == (order, helper, 12)
    assert order.pk not in browser.get(address(entry)).content.decode().split('"')


def test_the_way_back_is_a_list_of_changes_ticked_as_done(browser, tuner, entry):
    count(tuner, entry, 14)
    change(tuner, entry, 14, 11)
    change(tuner, entry, 11, 9)
    page = browser.get(address(entry, "sheet-back", "arrived")).content.decode()
    assert "9 out → 14 out" in page
    browser.post(
        address(entry, "sheet-back", "arrived"),
        {"adjuster": rear_rebound(entry).pk, "from": "9", "to": "14", "how": "read_back"},
    )
    assert stands_at(rear_rebound(entry)) == 14
    assert "nothing to do" in browser.get(address(entry, "sheet-back", "arrived")).content.decode()


def test_look_alikes_warn(browser, entry):
    other = Entry.objects.exclude(pk=entry.pk).get()
    other.bike.model = entry.bike.model
    other.bike.save()
    page = browser.get(address(entry)).content.decode()
    assert "Look-alike today" in page
    assert f"…{other.bike.frame_last4}" in page


def test_a_row_on_the_wrong_bike_is_moved_from_the_timeline(browser, tuner, entry):
    other = Entry.objects.exclude(pk=entry.pk).get()
    for one in (entry, other):
        count(tuner, one, 14)
    row = change(tuner, entry, 14, 11)
    browser.post(address(entry, "sheet-act", "move"), {"row": str(row.pk), "to": other.pk})
    assert stands_at(rear_rebound(entry)) == 14
    assert stands_at(rear_rebound(other)) == 11


def test_one_page_of_paper(browser, tuner, entry):
    written(entry, tuner)
    page = one_line(browser.get(address(entry, "sheet-print")).content.decode())
    assert "<td>14 out</td><td>11 out</td><td>3 clicks firmer</td>" in page


def test_a_helpers_page_holds_no_order_button(signed_in, helper, tuner, entry):
    count(tuner, entry, 14)
    panel = signed_in(helper).get(address(entry, "sheet-change", rear_rebound(entry).pk))
    assert b'value="order"' not in panel.content


def _pair(entry: Entry) -> list[Adjuster]:
    import uuid

    pair = uuid.uuid4()
    return [
        Adjuster.objects.create(
            bike=entry.bike, end="front", leg=leg, function=Function.COMPRESSION_HIGH,
            highest=20, pair=pair,
        )
        for leg in ("left", "right")
    ]  # fmt: skip


def test_a_range_counted_on_this_bike_stands_against_the_sheets(browser, tuner, entry):
    adjuster = rear_rebound(entry)
    Adjuster.objects.filter(pk=adjuster.pk).update(range_counted=False)  # as from its sheet
    listed = adjuster.highest
    url = reverse("board:sheet-change", args=[entry.pk, adjuster.pk])
    count(tuner, entry, 12)
    assert "as given, not counted on this bike yet" in browser.get(url).content.decode()
    count(tuner, entry, 12, highest=listed - 2)
    count(tuner, entry, 12, highest=listed - 3)
    html = browser.get(url).content.decode()
    assert f"Range 0 to {listed - 3:.0f}, counted on this bike." in html
    assert f"The sheet says {listed:.0f}" in html
    count(tuner, entry, 12, highest=listed)
    assert "The sheet says" not in browser.get(url).content.decode()


@pytest.mark.parametrize(("lowest", "words"), [(0, "The end itself is 0"), (1, "counted as 1")])
def test_counting_says_which_click_is_one(browser, entry, lowest, words):
    adjuster = rear_rebound(entry)
    adjuster.lowest = lowest
    adjuster_describe(adjuster=adjuster)
    url = reverse("board:sheet-change", args=[entry.pk, adjuster.pk])
    assert words in browser.get(url).content.decode()
