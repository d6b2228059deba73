"""From an unknown bike to its baseline, kept setups, parts, model sheets in the browser."""

import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.garage.models import Fitting, ModelSheet
from jobs.garage.services import fitting_fit
from jobs.people.dates import business_today
from jobs.setups import selectors
from jobs.setups.models import KeptSetup
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, Entry

from ..days import day_build, local
from ..queries import queries
from ..setups.writing import arrive, count

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1, at=local(12)).entries[0]


@pytest.fixture
def browser(signed_in, tuner):
    return signed_in(tuner)


def address(entry, name, *more):
    return reverse(f"board:{name}", args=[entry.pk, *more])


def test_an_unknown_bike_by_hand(browser, entry):
    entry.bike.adjusters.all().delete()
    assert "Set the bike up" in browser.get(address(entry, "sheet")).content.decode()
    browser.post(
        address(entry, "sheet-outfit"),
        {
            "has-front-rebound": "legs", "highest-front-rebound": "18",
            "has-rear-preload": "one", "highest-rear-preload": "7,5",
        },
    )  # fmt: skip
    found = [(str(a), a.leg, a.highest) for a in entry.bike.adjusters.all()]
    assert found == [
        ("front rebound", "left", 18),
        ("front rebound", "right", 18),
        ("rear preload", "both", 7.5),
    ]  # fmt: skip
    ids = [a.pk for a in entry.bike.adjusters.all()]
    browser.post(address(entry, "sheet-baseline"), {f"at-{ids[0]}": "9", f"at-{ids[2]}": "3,25"})
    positions = [s.position for s in selectors.standings_of_entry(entry)]
    assert positions == [9, None, 3.25]


def test_nothing_ticked_is_said(browser, entry):
    page = browser.post(address(entry, "sheet-outfit"), {}).content.decode()
    assert "Tick the adjusters this bike has" in page


def test_a_baseline_with_a_slip_keeps_the_rest(browser, entry):
    ids = [a.pk for a in entry.bike.adjusters.all()]
    page = browser.post(
        address(entry, "sheet-baseline"), {f"at-{ids[0]}": "9", f"at-{ids[1]}": "1o"}
    ).content.decode()
    assert "“1o” is not a number" in page
    assert 'value="9"' in page
    assert selectors.standings_of_entry(entry)[0].position is None


def test_a_known_model_from_its_sheet(browser, entry, tuner):
    for s in selectors.standings_of_entry(entry):
        count(tuner, entry, 8, adjuster=s.adjuster)
    browser.post(reverse("board:model-sheets"), {"entry": entry.pk})
    sheet = ModelSheet.objects.get()
    other = day_build(bikes=1).entries[0]
    other.bike.adjusters.all().delete()
    browser.post(address(other, "sheet-outfit"), {"sheet": sheet.pk})
    assert other.bike.adjusters.count() == 4


def test_a_tyre_fitted_at_noon_counts_its_own_outings(browser, tuner, entry):
    """Its group has been out at 9:00, 10:20 and 11:40 by noon, so the tyre starts at none."""
    form = {
        "kind": "tyre", "end": "rear", "name": "Corvane Slick", "range_unit": "psi",
        "cold_low": "23", "cold_high": "26",
    }  # fmt: skip
    browser.post(address(entry, "sheet-fittings"), form)
    tyre = Fitting.objects.get()
    assert tyre.maker_range_kpa["cold"] == pytest.approx([158.58, 179.26], abs=0.01)
    arrive(tuner, entry)
    assert _outings(entry, local(12)) == 0
    assert _outings(entry, local(17)) == 3
    Fitting.objects.update(fitted_at=local(8))
    assert _outings(entry, local(12)) == 3


def test_only_outings_the_bike_went_on_count(tuner, entry):
    """Not arrived: none. Stayed in once: one less. Held over one: one less again."""
    fitting_fit(
        fitting_id=uuid.uuid4(), bike=entry.bike, kind="tyre", end="rear", name="Slick",
        fitted_at=local(7),
    )  # fmt: skip
    assert _outings(entry, local(12)) == 0
    arrive(tuner, entry)
    assert _outings(entry, local(12)) == 3
    second = entry.group.sessions.order_by("planned_start")[1]
    BikeMove.objects.create(
        entry=entry, move=Move.DID_NOT_GO_OUT, session=second, at=second.planned_start, by=tuner
    )
    assert _outings(entry, local(12)) == 2
    assert _outings(entry, local(12), [(local(8, 50), local(9, 30))]) == 1


def test_what_parts_cost_to_read_is_the_same_after_a_season(entry):
    fitting_fit(
        fitting_id=uuid.uuid4(), bike=entry.bike, kind="tyre", end="rear", name="Slick",
        fitted_at=local(7),
    )  # fmt: skip
    with queries() as asked:
        _outings(entry, local(12))
    for _day in range(5):
        Entry.objects.filter(pk=day_build(bikes=1).entries[0].pk).update(bike=entry.bike)
    with queries() as later:
        _outings(entry, local(12))
    assert (len(asked), len(later)) == (6, 6)


def _outings(entry, at, holds=()):
    [part] = selectors.parts_of_bike(entry.bike, at, holds)
    return part.outings


def test_kept_setups_stand_side_by_side(browser, tuner, entry):
    adjuster = selectors.standings_of_entry(entry)[0].adjuster
    count(tuner, entry, 8, adjuster=adjuster)
    browser.post(address(entry, "sheet-act", "keep"), {"kind": "own", "name": "rain, soft rear"})
    count(tuner, entry, 11, adjuster=adjuster)
    page = browser.get(address(entry, "sheet-setups")).content.decode()
    assert "rain, soft rear" in page
    assert "<td>11 out</td><td>8 out</td><td>8 out</td>" in page
    kept = KeptSetup.objects.get()
    back = browser.get(address(entry, "sheet-back", kept.pk)).content.decode()
    assert "11 out → 8 out" in back


def test_an_own_name_is_asked_for(browser, tuner, entry):
    count(tuner, entry, 8, adjuster=selectors.standings_of_entry(entry)[0].adjuster)
    browser.post(address(entry, "sheet-act", "keep"), {"kind": "own"})
    assert KeptSetup.objects.count() == 0


def test_model_sheets_go_out_and_come_in(browser, entry, tuner):
    browser.post(reverse("board:model-sheets"), {"entry": entry.pk})
    text = browser.get(reverse("board:model-sheets-export", args=["json"])).content
    assert json.loads(text)["model_sheets"][0]["make"] == "Corrib"
    file = SimpleUploadedFile("sheets.json", text)
    browser.post(reverse("board:model-sheets-import"), {"file": file})
    assert ModelSheet.objects.count() == 1
    bad = SimpleUploadedFile("sheets.json", b"{}")
    page = browser.post(reverse("board:model-sheets-import"), {"file": bad}).content.decode()
    assert "Nothing was taken in" in page


def test_a_bike_sold_keeps_its_book(browser, signed_in, customer_a, customer_b, tuner):
    day = day_build(bikes=1, customers=[customer_a.customer])
    entry = day.entries[0]
    adjuster = selectors.standings_of_entry(entry)[0].adjuster
    count(tuner, entry, 8, adjuster=adjuster)
    today = business_today().isoformat()
    browser.post(address(entry, "sheet-owner"), {"owner": customer_b.customer.pk, "sold_on": today})
    assert selectors.standings_of_entry(entry)[0].position == 8
    pages = [
        signed_in(user).get(reverse("portal:everything")).content.decode()
        for user in (customer_a, customer_b)
    ]
    assert ["Corrib" in page for page in pages] == [True, True]
    assert ["sold" in page for page in pages] == [True, False]
