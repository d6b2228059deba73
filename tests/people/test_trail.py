"""The trail: written with what it tells, numbers and kinds only, and never changed."""

import uuid
from datetime import date

import pytest
from django.contrib.auth import get_user_model
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.urls import reverse

from jobs.acts.services import act_apply
from jobs.billing.enums import PriceKind
from jobs.people import devices
from jobs.people.enums import Role, TrailEvent
from jobs.people.models import TrailEntry
from jobs.people.services import customers_link
from jobs.people.trail import PAGE, trail_note, trail_page
from jobs.worklist.models import Hold
from tests.days import day_build
from tests.queries import page_queries

pytestmark = pytest.mark.django_db


def trail() -> list[tuple[str, int | None, str]]:
    """The trail so far, the oldest first: event, by whom, of what."""
    return list(TrailEntry.objects.order_by("pk").values_list("event", "by", "ref"))


def test_the_database_refuses_to_change_or_delete_an_entry(tuner):
    trail_note(TrailEvent.EXPORTED_ALL, by=tuner)
    for statement in (
        "UPDATE people_trailentry SET event = 'money.price'",
        "UPDATE people_trailentry SET by_id = NULL",
        "DELETE FROM people_trailentry",
    ):
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert trail() == [("data.all", tuner.pk, "")]


def test_no_column_can_hold_a_name_or_a_word():
    """Beside moment, user and number: a kind out of a fixed list."""
    columns = {column.name for column in TrailEntry._meta.concrete_fields}
    assert columns == {"id", "at", "by", "event", "ref"}
    assert all(
        event.partition(".")[0] in ("data", "hold", "money", "rights") for event in TrailEvent
    )


def test_an_entry_outlives_its_user(tuner):
    somebody = get_user_model().objects.create(username="gone", role=Role.HELPER)
    trail_note(TrailEvent.PIN_SET, by=somebody, ref=7)
    pk = somebody.pk
    somebody.delete()
    assert trail() == [("rights.pin", pk, "7")]


def test_what_is_rolled_back_leaves_no_entry(tuner):
    with pytest.raises(RuntimeError), transaction.atomic():
        trail_note(TrailEvent.EXPORTED_ALL, by=tuner)
        raise RuntimeError
    assert trail() == []


def close(response) -> None:
    """The file handed out; closing the response itself would close the test's database."""
    for one in response._resource_closers:
        one()


def test_every_way_out_for_personal_data_is_kept(cast, signed_in):
    customer = cast.customer_a.customer
    ways = [
        (cast.tuner, "desk:everything", [], ("data.all", "")),
        (cast.office, "desk:customer-export", [customer.pk], ("data.customer", str(customer.pk))),
        (cast.customer_a, "portal:download", [], ("data.customer", str(customer.pk))),
        (cast.tuner, "api:everything", [], ("data.all", "")),
        (cast.customer_a, "api:mine", [], ("data.customer", str(customer.pk))),
        (cast.office, "money:journal", [], ("data.books", "")),
        (cast.office, "money:saft", [], ("data.books", "")),
        (cast.office, "money:bundle", [], ("data.books", "")),
    ]
    for user, name, arguments, (event, ref) in ways:
        response = signed_in(user).get(reverse(name, args=arguments))
        assert response.status_code == 200, name
        close(response)
        assert trail()[-1] == (event, user.pk, ref), name
    assert len(trail()) == len(ways)


def test_knowledge_of_the_business_that_goes_out_is_kept(cast, signed_in):
    sheets = reverse("board:model-sheets-export", args=["json"])
    assert signed_in(cast.helper).get(sheets).status_code == 200
    findings = reverse("board:findings-text")
    signed_in(cast.tuner).get(findings)  # looked at, not taken along
    signed_in(cast.tuner).get(findings, {"download": ""})
    assert trail() == [
        ("data.sheets", cast.helper.pk, ""),
        ("data.findings", cast.tuner.pk, ""),
    ]


def test_a_released_hold_is_kept_and_a_refused_release_is_not(cast):
    day = day_build(bikes=1)
    hold = uuid.uuid4()

    def act(by, kind, payload, act_id=None):
        return act_apply(
            act_id=act_id or uuid.uuid4(), kind=kind, payload=payload, by=by, trackday=day.trackday
        )

    act(cast.helper, "hold", {"entry": day.entries[0].pk, "words": "brake lever bent"}, hold)
    release = {"hold": str(Hold.objects.get().pk), "reason": "lever replaced"}
    assert act(cast.helper, "release", release).outcome == "refused"
    assert trail() == []
    assert act(cast.tuner, "release", release).outcome == "applied"
    assert trail() == [("hold.released", cast.tuner.pk, str(hold))]


def test_changes_of_prices_rates_and_terms_are_kept(cast, signed_in):
    desk = signed_in(cast.office)
    rate = {
        "code": "standard", "name": "VAT", "percent": "23", "category": "S", "jurisdiction": "",
        "valid_from": date(2020, 1, 1).isoformat(),
    }  # fmt: skip
    desk.post(reverse("money:rate-new"), rate)
    price = {"name": "Oil", "kind": PriceKind.PART, "unit": "C62", "price": "12.50",
             "tax_code": "standard", "order": "0", "active": "on"}  # fmt: skip
    answer = desk.post(reverse("money:price-new"), price)
    assert answer.status_code == 302, answer.content.decode()[-3000:]
    (_rate, (_event, _by, pk)) = trail()
    desk.post(reverse("money:price-retire", args=[pk]))
    refused = desk.post(reverse("money:price-new"), {**price, "name": ""})
    assert refused.status_code == 200
    assert [(event, by) for event, by, _ref in trail()] == [
        ("money.rate", cast.office.pk),
        ("money.price", cast.office.pk),
        ("money.price", cast.office.pk),
    ]


def test_changes_of_the_crew_and_of_devices_are_kept(cast, signed_in):
    desk = signed_in(cast.tuner)
    new = {"username": "nia", "first_name": "Nia", "role": "helper", "is_active": "on",
           "password": "gravel-trap-9"}  # fmt: skip
    answer = desk.post(reverse("desk:crew-new"), new)
    assert answer.status_code == 302, answer.content.decode()[-3000:]
    nia = get_user_model().objects.get(username="nia")
    desk.post(reverse("tablet:pins"), {"user": nia.pk, "pin": "4711"})
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, _secret = devices.device_enrol(code=code, where_from="tests")
    desk.post(reverse("desk:device-out", args=[device.pk]))
    assert trail() == [
        ("rights.entered", cast.tuner.pk, str(nia.pk)),
        ("rights.password", cast.tuner.pk, str(nia.pk)),
        ("rights.pin", cast.tuner.pk, str(nia.pk)),
        ("rights.enrolled", cast.tuner.pk, str(device.pk)),
        ("rights.shut-out", cast.tuner.pk, str(device.pk)),
    ]


def test_links_of_customers_and_a_command_on_the_server_are_kept(cast, signed_in, capsys):
    desk, customer = signed_in(cast.office), cast.customer_a.customer
    desk.post(reverse("desk:customer-link", args=[customer.pk]))
    desk.post(reverse("desk:customer-links-withdraw", args=[customer.pk]))
    customers_link(customer=customer, other=cast.customer_b.customer, by=cast.office)
    with pytest.raises(ValidationError):
        customers_link(customer=customer, other=cast.customer_b.customer, by=cast.office)
    call_command("signin_link", "helper")
    assert trail() == [
        ("rights.link", cast.office.pk, str(customer.pk)),
        ("rights.unlink", cast.office.pk, str(customer.pk)),
        ("rights.same", cast.office.pk, str(customer.pk)),
        ("rights.signin", None, str(cast.helper.pk)),
    ]


def test_the_desk_reads_it_by_group_and_page_at_one_price(cast, signed_in):
    desk = signed_in(cast.office)
    assert "Nothing of this kind was done yet" in desk.get(reverse("desk:trail")).content.decode()
    for number in range(PAGE + 1):
        trail_note(TrailEvent.PRICE_CHANGED, by=cast.office, ref=f"price {number}")
    trail_note(TrailEvent.HOLD_RELEASED, by=None, ref="the hold")
    page = desk.get(reverse("desk:trail")).content.decode()
    assert "nobody signed in" in page
    assert "the hold" in page
    assert "price 0<" not in page
    money = desk.get(reverse("desk:trail"), {"group": "money"}).content.decode()
    assert "the hold" not in money
    older = trail_page(group="money")[PAGE - 1].pk
    older_page = desk.get(reverse("desk:trail"), {"group": "money", "before": older})
    assert "price 0<" in older_page.content.decode()
    odd = {"group": "x'y", "before": "99999999999999999999"}
    assert desk.get(reverse("desk:trail"), odd).status_code == 200
    assert page_queries(desk, reverse("desk:trail")) == 4
