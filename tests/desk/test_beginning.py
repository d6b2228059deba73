"""What is left of the beginning: done on the spot, put off, taken up again."""

from datetime import date
from decimal import Decimal

import pytest
from django.conf import settings
from django.core import mail
from django.urls import reverse

from jobs.billing.models import PriceItem, TaxRate, Terms
from jobs.desk.beginning.steps import BY_SLUG
from jobs.outbox.mail_server import KEEPS_ONLY
from jobs.people.models import Business, User
from jobs.trackday.models import ServicePackage, Session, Trackday, Venue
from jobs.worklist.models import Checklist

BEGIN = reverse("desk:begin")


@pytest.fixture
def desk(signed_in, tuner):
    return signed_in(tuner)


def keep(desk, slug: str, **fields) -> str:
    return desk.post(reverse("desk:begin-step", args=[slug]), fields, follow=True).content.decode()


def opened(page: str) -> str:
    """The slug of the step whose form is open."""
    found = [s for s in BY_SLUG if f'action="{reverse("desk:begin-step", args=[s])}#{s}"' in page]
    assert len(found) <= 1
    return "".join(found)


def test_every_step_kept_with_its_defaults_leaves_a_place_ready_for_the_first_bike(desk):
    assert opened(desk.get(BEGIN).content.decode()) == "tax"
    page = keep(desk, "tax", registered="yes", percent="23", included="on")
    assert opened(page) == "prices"
    page = keep(
        desk, "prices", **{"on-day": "on", "name-day": "Whole day", "price-day": "240",
        "on-advice": "on", "name-advice": "A talk", "price-advice": "45,50"},
    )  # fmt: skip
    assert opened(page) == "checklists"
    page = keep(desk, "checklists")
    assert opened(page) == "venue"
    page = keep(desk, "venue", name="Ballymoor", country="IE", timezone="Europe/Dublin")
    assert opened(page) == "trackday"
    page = keep(
        desk, "trackday", venue=Venue.objects.get().pk, name="Trackday", date="2026-06-13",
        in_turns="on", groups="3", minutes="20", start="09:00", close="17:00",
        lunch_start="12:00", lunch_end="13:00",
    )  # fmt: skip
    assert opened(page) == "letterhead"
    page = keep(desk, "letterhead", street="Quay Road 2", city="Galway", tax_id="IE6388047V")
    assert opened(page) == "mail"
    page = keep(desk, "mail", later="1")
    assert opened(page) == "helpers"
    page = keep(desk, "helpers", **{"own": "4711", "name-1": "Pim", "pin-1": "8032"})
    assert (opened(page), "7 of 8 done" in page) == ("", True)

    rate = TaxRate.objects.get()
    assert (rate.percent, rate.valid_from.month, rate.valid_from.day) == (23, 1, 1)
    packages = ServicePackage.objects.values_list("name", "follow_ups", "advice_only")
    assert list(packages) == [("Whole day", 3, False), ("A talk", 0, True)]
    prices = dict(PriceItem.objects.values_list("name", "price"))
    assert prices == {"Whole day": Decimal(240), "A talk": Decimal("45.50")}
    assert Checklist.objects.count() == 5
    day = Trackday.objects.get()
    assert (day.date, day.groups.count(), Session.objects.count()) == (date(2026, 6, 13), 3, 21)
    pim = User.objects.get(first_name="Pim")
    assert (pim.role, bool(pim.pin_hash), pim.has_usable_password()) == ("helper", True, False)


def test_a_step_sent_twice_is_kept_once_and_said(desk):
    """A glove taps twice, or two people begin at once; the day of that name would be refused."""
    venue = Venue.objects.create(name="Ballymoor", country="IE", timezone="Europe/Dublin")
    day = {"venue": venue.pk, "name": "Trackday", "date": "2026-06-13", "groups": "3",
           "minutes": "20", "start": "09:00", "close": "17:00"}  # fmt: skip
    prices = {"on-day": "on", "name-day": "Whole day", "price-day": "240"}
    for slug, fields in (("prices", prices), ("trackday", day)):
        keep(desk, slug, **fields)
        assert "This was done already." in keep(desk, slug, **fields)
    assert (ServicePackage.objects.count(), Trackday.objects.count()) == (1, 1)
    assert opened(desk.get(f"{BEGIN}?step=prices").content.decode()) == "tax"


def test_the_first_day_is_offered_under_a_plain_name(desk):
    Venue.objects.create(name="Ballymoor", country="IE", timezone="Europe/Dublin")
    page = desk.get(f"{BEGIN}?step=trackday").content.decode()
    assert 'name="name" value="Trackday"' in page


def test_a_step_put_off_is_not_asked_again_and_can_be_opened(desk):
    page = keep(desk, "tax", later="1")
    assert opened(page) == "prices"
    assert Business.objects.get().put_off == ["tax"]
    assert opened(desk.get(BEGIN).content.decode()) == "prices"
    assert opened(desk.get(f"{BEGIN}?step=tax").content.decode()) == "tax"
    keep(desk, "tax", registered="no")
    assert Business.objects.get().put_off == []
    terms = Terms.objects.get()
    assert (terms.scheme, terms.prices_include_tax) == ("none", False)
    assert not TaxRate.objects.exists()


def test_the_usual_rate_is_offered_as_from_memory_and_none_where_it_is_not_known(desk):
    page = desk.get(BEGIN).content.decode()
    assert 'value="23"' in page
    assert "Usual in Ireland, from memory: confirm it with your tax adviser." in page
    Business.objects.update(country="BR")
    page = desk.get(BEGIN).content.decode()
    assert "from memory" not in page


@pytest.mark.parametrize(
    ("slug", "fields", "words"),
    [
        ("tax", {}, "This field is required."),
        ("tax", {"registered": "yes", "percent": ""}, "A rate lies above 0 and below 100"),
        ("prices", {}, "Tick at least one, or put this off."),
        ("prices", {"on-day": "on", "name-day": "Day"}, "Type its price, or untick it."),
        ("prices", {"on-day": "on", "price-day": "1"}, "Give it a name, or untick it."),
        ("venue", {"name": "X", "country": "IE", "timezone": "Mars/Base"}, "Select a valid choice"),
        ("letterhead", {"street": "A 1"}, "This field is required."),
        ("letterhead", {"street": "A", "city": "B", "tax_id": "C", "iban": "IE1"}, "not an IBAN"),
        ("helpers", {}, "Type a PIN, or put this off."),
        ("helpers", {"name-1": "Pim"}, "Give Pim a PIN."),
        ("helpers", {"name-1": "Pim", "pin-1": "1234"}, "too easy to guess"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(desk, slug, fields, words):
    page = keep(desk, slug, **fields)
    assert words in page
    assert opened(page) == slug
    kinds = (TaxRate, ServicePackage, Venue, User.objects.filter(first_name="Pim"))
    assert [getattr(kind, "objects", kind).count() for kind in kinds] == [0, 0, 0, 0]


def test_where_the_environment_sets_mail_a_test_letter_is_all_that_is_asked(desk, monkeypatch):
    page = keep(desk, "mail", to="van@example.org")
    assert "took the test letter to van@example.org." in page
    assert mail.outbox[0].to == ["van@example.org"]
    assert "a test letter went out" in page
    monkeypatch.setattr(settings, "EMAIL_BACKEND", KEEPS_ONLY)
    page = desk.get(f"{BEGIN}?step=mail").content.decode()
    assert "every letter is kept under Mail and goes nowhere" in page


def test_a_helper_and_the_office_do_not_begin(signed_in, helper, office):
    for user in (helper, office):
        assert signed_in(user).get(BEGIN).status_code == 403


def test_the_list_of_days_leads_back_until_nothing_is_left(desk):
    assert "steps of the beginning are left" in desk.get(reverse("desk:home")).content.decode()
    for slug in ("tax", "prices", "checklists", "venue", "letterhead", "mail", "helpers"):
        keep(desk, slug, later="1")
    assert "of the beginning" not in desk.get(reverse("desk:home")).content.decode()
