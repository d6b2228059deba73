"""Service packages: made, priced, asked their checklists, changed, retired."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.billing.models import PriceItem
from jobs.billing.selectors.due_charges import due_charges
from jobs.people.models import Edit
from jobs.trackday.models import Entry, ServicePackage
from jobs.worklist.models import Checklist, ChecklistItem
from jobs.worklist.selectors import checklists_asked_by, checklists_current
from jobs.worklist.services import checklist_save
from tests.days import day_build
from tests.queries import page_queries

PACKAGES = reverse("desk:packages")
NEW = reverse("desk:package-new")


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def edit(package: ServicePackage) -> str:
    return reverse("desk:package-edit", args=[package.pk])


def drop(package: ServicePackage) -> str:
    return reverse("desk:package-drop", args=[package.pk])


def checklist(code: str, packages=()) -> Checklist:
    item = ChecklistItem(
        code=f"{code}-item", text=code, minutes=2, cadence="once", opens_from="arrival",
        closes_from="roll",
    )  # fmt: skip
    return checklist_save(code=code, name=code.title(), items=[item], packages=packages)


def asked(package: ServicePackage) -> list[str]:
    return [one.code for one in checklists_asked_by(package, checklists_current())]


def test_an_empty_place_says_what_to_do(desk):
    page = desk.get(PACKAGES).content.decode()
    assert "No package yet, so no bike can be entered." in page
    day = day_build(bikes=0)
    ServicePackage.objects.all().delete()
    page = desk.get(reverse("desk:entry-new", args=[day.trackday.pk])).content.decode()
    assert "There is no service package yet, and every entry needs one." in page
    assert NEW in page


def test_a_name_and_a_price_make_a_package_that_entries_are_charged(desk):
    arrival = checklist("arrival")
    page = desk.post(
        NEW,
        {"name": "Whole day", "price": "240,50", "follow_ups": "3", "checklists": [arrival.pk]},
        follow=True,
    )
    assert "Whole day is kept." in page.content.decode()
    assert "€240.50" in page.content.decode()
    package = ServicePackage.objects.get()
    assert (package.code, package.follow_ups, package.order) == ("whole-day", 3, 1)
    entry = day_build(bikes=1).entries[0]
    Entry.objects.filter(pk=entry.pk).update(package=package)
    [due] = due_charges([Entry.objects.get(pk=entry.pk)])[entry.pk]
    assert (due.description, due.price) == ("Whole day", Decimal("240.50"))
    noted = Edit.objects.get()
    assert (noted.what, noted.verb, noted.changes) == (
        "service package",
        "new",
        {"price": ["", "240.5"]},
    )


def test_what_is_wrong_is_named_and_loses_nothing(desk):
    desk.post(NEW, {"name": "Whole day", "price": "240", "follow_ups": "3"})
    page = desk.post(NEW, {"name": "whole day", "price": "20", "follow_ups": "1"}).content.decode()
    assert "There is already a package called “whole day”." in page
    assert 'value="20"' in page
    page = desk.post(NEW, {"name": "Talk", "price": "a lot", "follow_ups": "0"}).content.decode()
    assert "“a lot” is not a price such as 120.50." in page
    assert 'value="Talk"' in page
    assert ServicePackage.objects.count() == 1


def test_a_package_without_a_price_and_a_price_without_a_package_each_say_so(desk):
    desk.post(NEW, {"name": "Whole day", "follow_ups": "3"})
    PriceItem.objects.create(code="old", name="Old setup", kind="setup", price=Decimal(90))
    assert "no price yet" in desk.get(PACKAGES).content.decode()
    prices = desk.get(reverse("money:prices")).content.decode()
    assert "Whole day has no price yet: its entries cannot be invoiced." in prices
    assert "no package: only charged by hand" in prices
    desk.post(edit(ServicePackage.objects.get()), {
        "name": "Whole day", "follow_ups": "3", "price": "200", "active": "on", "order": "1",
    })  # fmt: skip
    prices = desk.get(reverse("money:prices")).content.decode()
    assert "has no price yet" not in prices
    assert "no price yet" not in desk.get(PACKAGES).content.decode()


def test_checklists_are_chosen_by_package_and_each_choice_is_a_new_version(desk):
    whole = ServicePackage.objects.create(code="whole", name="Whole day")
    talk = ServicePackage.objects.create(code="talk", name="Talk")
    checklist("arrival")
    checklist("baseline")
    arrival, _baseline = Checklist.objects.order_by("pk")
    form = {"name": "Talk", "follow_ups": "0", "active": "on", "checklists": [arrival.pk]}
    desk.post(edit(talk), form)
    assert (asked(whole), asked(talk)) == (["arrival", "baseline"], ["arrival"])
    assert Checklist.objects.get(code="baseline", retired_at=None).version == 2
    assert Checklist.objects.get(code="arrival", retired_at=None).version == 1
    assert ChecklistItem.objects.filter(checklist__code="baseline").count() == 2


def test_a_checklist_no_package_would_ask_for_is_refused_by_name(desk):
    whole = ServicePackage.objects.create(code="whole", name="Whole day")
    checklist("arrival")
    form = {"name": "Whole", "follow_ups": "0", "active": "on", "checklists": []}
    page = desk.post(edit(whole), form).content.decode()
    assert "No other package asks for “Arrival”" in page
    whole.refresh_from_db()
    assert (whole.name, asked(whole)) == ("Whole day", ["arrival"])


def test_a_package_somebody_is_entered_with_retires_and_an_unused_one_goes(desk):
    day = day_build(bikes=1)
    desk.post(NEW, {"name": "Talk", "price": "45", "follow_ups": "0"})
    talk = ServicePackage.objects.get(name="Talk")
    page = desk.post(drop(talk), follow=True).content.decode()
    assert "Talk is removed." in page
    assert not PriceItem.objects.exists()
    page = desk.post(drop(day.package), follow=True).content.decode()
    assert "Full day is retired: it stays where it was booked." in page
    day.package.refresh_from_db()
    assert not day.package.active
    assert "retired" in desk.get(PACKAGES).content.decode()
    entry_page = desk.get(reverse("desk:entry-edit", args=[day.entries[0].pk])).content.decode()
    assert "Full day" in entry_page
    assert (
        "Full day"
        not in desk.get(reverse("desk:entry-new", args=[day.trackday.pk])).content.decode()
    )


def test_a_package_that_one_checklist_is_for_alone_retires_so_that_the_list_is_not_for_all(desk):
    whole = ServicePackage.objects.create(code="whole", name="Whole day")
    talk = ServicePackage.objects.create(code="talk", name="Talk")
    checklist("talking", packages=[talk])
    desk.post(drop(talk))
    talk.refresh_from_db()
    assert not talk.active
    assert asked(whole) == []


def test_a_helper_makes_no_packages(signed_in, helper):
    assert signed_in(helper).get(NEW).status_code == 403


@pytest.mark.parametrize("packages", [1, 3, 20])
def test_the_list_costs_the_same_queries_at_any_length(desk, packages):
    checklist("arrival")
    for number in range(packages):
        ServicePackage.objects.create(code=f"p{number}", name=f"Package {number}")
    assert page_queries(desk, PACKAGES) == 10
