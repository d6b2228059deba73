"""Where travel was read: said with the reading, derived, or asked about."""

import uuid
from decimal import Decimal

import pytest

from jobs.acts.services import act_apply
from jobs.people.models import Business
from jobs.setups import sentences
from jobs.setups.models import Reading

from ..days import day_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(cast):
    return day_build(bikes=2)


@pytest.fixture
def entry(day):
    return day.entries[0]


def act(by, kind, payload, version=None):
    more = {} if version is None else {"version": version}
    return act_apply(act_id=uuid.uuid4(), kind=kind, payload=payload, by=by, **more)


def ring(by, entry, end, used="41", version=None, **more):
    values = [{"name": "used", "value": used, "unit": "mm"}]
    payload = {"entry": entry.pk, "kind": "travel", "end": end, "values": values, **more}
    done = act(by, "reading", payload, version)
    return done, Reading.objects.filter(pk=done.pk).first()


def test_a_fork_is_read_on_its_leg_and_nobody_has_to_say_so(cast, entry):
    _done, row = ring(cast.tuner, entry, "front")
    assert row.place == "fork_leg"
    assert sentences.reading(row).endswith("41 mm on the fork leg.")


def test_a_tablet_that_sends_no_place_leaves_the_rear_unknown(cast, entry):
    _done, row = ring(cast.tuner, entry, "rear", version=1)
    assert row.place == ""
    assert "(nobody said where)" in sentences.reading(row)


def test_where_the_business_says_so_an_old_tablets_reading_has_its_place(cast, entry):
    Business.objects.update_or_create(pk=1, defaults={"rear_travel_place": "shock_shaft"})
    _done, row = ring(cast.tuner, entry, "rear", version=1)
    assert row.place == "shock_shaft"


def test_a_place_the_end_does_not_have_is_refused(cast, entry):
    done, row = ring(cast.tuner, entry, "front", place="shock_shaft")
    assert (done.outcome, row) == ("refused", None)
    assert "not read on the shock's shaft" in done.answer["text"]


def test_the_place_of_a_bikes_readings_is_said_once_and_can_be_taken_back(cast, entry, day):
    first = ring(cast.tuner, entry, "rear")[1]
    second = ring(cast.tuner, entry, "rear", "43")[1]
    wheel = ring(cast.tuner, entry, "rear", "80", place="wheel")[1]
    other = ring(cast.tuner, day.entries[1], "rear")[1]
    said = act(cast.helper, "travel-place", {"entry": entry.pk, "place": "shock_shaft"})
    assert said.answer["text"] == "2 readings were taken on the shock's shaft."
    places = dict(Reading.objects.values_list("pk", "place"))
    assert [places[row.pk] for row in (first, second, wheel, other)] == [
        "shock_shaft", "shock_shaft", "wheel", "",
    ]  # fmt: skip
    act(cast.helper, "withdraw", {"row": str(said.pk)})
    assert set(Reading.objects.filter(pk__in=[first.pk, second.pk]).values_list("place")) == {("",)}


def test_the_sheet_asks_where_the_rear_was_read_until_it_is_said(cast, entry, signed_in):
    ring(cast.tuner, entry, "rear", version=1)
    browser = signed_in(cast.tuner)
    page = browser.get(f"/bikes/{entry.pk}/").content.decode()
    assert "Rear travel 41\N{NO-BREAK SPACE}mm: where was it read?" in page
    browser.post(f"/bikes/{entry.pk}/act/travel-place/", {"place": "shock_shaft"})
    page = browser.get(f"/bikes/{entry.pk}/").content.decode()
    assert "where was it read?" not in page
    assert "on the shock&#x27;s shaft" in page


def test_the_office_says_it_for_every_bike_at_once(cast, entry, signed_in):
    row = ring(cast.tuner, entry, "rear", version=1)[1]
    browser = signed_in(cast.office)
    form = browser.get("/desk/business/").context["form"]
    fields = {name: form[name].value() for name in form.fields}
    fields = {name: "" if value is None else value for name, value in fields.items()}
    browser.post("/desk/business/", {**fields, "name": "Roan", "rear_travel_place": "wheel"})
    row.refresh_from_db()
    assert row.place == "wheel"


def test_a_ring_on_the_shaft_is_said_against_the_shafts_stroke(cast, entry, signed_in):
    bike = entry.bike
    bike.rear_usable_travel_mm, bike.rear_shaft_stroke_mm = Decimal(120), Decimal(60)
    bike.save()
    ring(cast.tuner, entry, "rear", place="shock_shaft")
    page = signed_in(cast.tuner).get(f"/bikes/{entry.pk}/").content.decode()
    assert "68 %" in page
    assert "34 %" not in page


def test_without_the_stroke_the_sheet_asks_for_it(cast, entry, signed_in):
    bike = entry.bike
    bike.rear_usable_travel_mm = Decimal(120)
    bike.rear_shaft_stroke_mm = bike.motion_ratio = None
    bike.linkage_curve = []
    bike.save()
    ring(cast.tuner, entry, "rear", place="shock_shaft")
    page = signed_in(cast.tuner).get(f"/bikes/{entry.pk}/").content.decode()
    assert "Enter the usable stroke of the shock&#x27;s shaft" in page
