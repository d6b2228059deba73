"""Somebody found twice is linked: shown together, nothing moved, taken apart again."""

import io
import zipfile

import pytest
from django.urls import reverse

from jobs.acts.removal import customer_remove
from jobs.acts.takeaway import customer_takeaway
from jobs.billing.models import Document, Payment, Series
from jobs.garage.models import Bike
from jobs.people.links import token_make, token_user
from jobs.people.models import Customer, Edit
from jobs.people.selectors import same_person
from jobs.people.services import customer_unlink, customers_link
from tests.days import day_build


@pytest.fixture
def two(cast):
    """A, who signs in, and the same person found again with a bike and an invoice."""
    ada = cast.customer_a.customer
    again = Customer.objects.create(name="Ada F.", email="ada.f@example.org", phone="0201")
    day = day_build(bikes=2, customers=[ada, again])
    return ada, again, day


@pytest.fixture
def linked(two, tuner):
    ada, again, _day = two
    customers_link(customer=again, other=ada, by=tuner)
    ada.refresh_from_db()
    again.refresh_from_db()
    return two


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def invoice_for(customer, day):
    series, _made = Series.objects.get_or_create(kind="invoice", defaults={"prefix": "INV-"})
    draft = Document.objects.create(
        series=series, kind="invoice", customer=customer, currency="EUR", language="en",
        scheme="vat", prices_include_tax=True, seller={}, buyer={},
    )  # fmt: skip
    number = Document.objects.exclude(number=None).count() + 1
    Document.objects.filter(pk=draft.pk).update(
        number=number, label=f"INV-{number}", issued_on=day.trackday.date,
        issued_at="2026-06-13T18:00Z",
    )  # fmt: skip
    return draft


def names(found):
    return sorted(found.values_list("name", flat=True))


def test_three_are_one_and_each_may_be_taken_out_again(two, tuner):
    ada, again, _day = two
    third = Customer.objects.create(name="A. Finn")
    customers_link(customer=third, other=again, by=tuner)
    customers_link(customer=Customer.objects.get(pk=again.pk), other=ada, by=tuner)
    third.refresh_from_db()
    assert names(same_person(third)) == names(same_person(ada)) == ["A. Finn", "Ada", "Ada F."]
    customer_unlink(customer=Customer.objects.get(pk=ada.pk), by=tuner)
    assert names(same_person(ada)) == ["Ada"]
    assert names(same_person(Customer.objects.get(pk=third.pk))) == ["A. Finn", "Ada F."]


def test_nothing_moves(two, tuner):
    ada, again, day = two
    invoice = invoice_for(again, day)
    customers_link(customer=again, other=ada, by=tuner)
    invoice.refresh_from_db()
    assert invoice.customer == again
    assert Bike.objects.filter(owner=again).count() == 1


def test_the_desk_shows_both_together_and_takes_them_apart(two, desk):
    ada, again, day = two
    address = reverse("desk:customer", args=[ada.pk])
    found = desk.get(address, {"same": "ada.f@"}).content.decode()
    assert "The same person" in found
    desk.post(reverse("desk:customer-same", args=[ada.pk, again.pk]))
    page = desk.get(address).content.decode()
    for entry in day.entries:
        assert reverse("desk:entry-edit", args=[entry.pk]) in page
    assert page.count("Take apart") == 1
    desk.post(reverse("desk:customer-not-same", args=[ada.pk, again.pk]))
    assert (
        reverse("desk:entry-edit", args=[day.entries[1].pk])
        not in desk.get(address).content.decode()
    )
    assert [edit.changes for edit in Edit.objects.filter(what="customer").order_by("pk")] == [
        {"same as": ["", str(ada.pk)]}, {"same as": [str(ada.pk), ""]},
    ]  # fmt: skip


def test_those_already_linked_are_not_linked_again(linked, desk):
    ada, again, _day = linked
    answer = desk.post(reverse("desk:customer-same", args=[ada.pk, again.pk]), follow=True)
    assert "linked already" in answer.content.decode()


def test_the_account_holds_the_documents_of_both(linked, desk):
    ada, again, day = linked
    invoice_for(ada, day)
    invoice_for(again, day)
    page = desk.get(reverse("money:account", args=[ada.pk])).content.decode()
    assert "INV-1" in page
    assert "INV-2" in page
    assert "Together with" in page
    assert Payment.objects.count() == 0


def test_the_customers_own_pages_show_both_and_no_longer_once_taken_apart(
    linked, signed_in, cast, tuner
):
    _ada, again, day = linked
    client = signed_in(cast.customer_a)
    other_bike = reverse("portal:bike", args=[day.entries[1].bike_id])
    invoice = invoice_for(again, day)
    document = reverse("portal:document", args=[invoice.pk])
    assert client.get(other_bike).status_code == 200
    assert "INV-1" in client.get(reverse("portal:home")).content.decode()
    customer_unlink(customer=again, by=tuner)
    assert client.get(other_bike).status_code == 404
    assert client.get(document).status_code == 404


def test_the_link_of_the_second_opens_the_bikes_of_the_first(linked, client):
    _ada, again, day = linked
    client.post(reverse("portal:open", args=[token_make(customer=again)]))
    bike = reverse("portal:bike", args=[day.entries[0].bike_id])
    assert client.get(bike).status_code == 200


def test_another_customer_still_sees_neither(linked, signed_in, cast):
    _ada, _again, day = linked
    client = signed_in(cast.customer_b)
    for entry in day.entries:
        address = reverse("portal:bike", args=[entry.bike_id])
        assert client.get(address).status_code == 404


def test_withdrawing_the_links_withdraws_those_of_both(linked, desk):
    ada, again, _day = linked
    tokens = [token_make(customer=one) for one in (ada, again)]
    desk.post(reverse("desk:customer-links-withdraw", args=[ada.pk]))
    assert [token_user(token=token) for token in tokens] == [None, None]


def test_what_is_taken_away_is_of_both(linked, tuner):
    ada, _again, _day = linked
    with customer_takeaway(customer=ada, by=tuner) as file:
        archive = zipfile.ZipFile(io.BytesIO(file.read()))
    people = archive.read("data/people_customer.csv").decode()
    assert "Ada F." in people
    assert len(archive.read("data/garage_bike.csv").decode().splitlines()) == 3


def test_removal_removes_both_and_says_so_before(linked, signed_in, tuner):
    ada, again, _day = linked
    page = signed_in(tuner).get(reverse("desk:customer-remove", args=[ada.pk])).content.decode()
    assert "Linked as the same person, and removed as well:" in page
    customer_remove(customer=ada, by=tuner)
    again.refresh_from_db()
    assert (again.name, again.email, again.phone) == ("Removed customer", "", "")


def test_nobody_is_removed_while_the_other_owes(linked, tuner, monkeypatch):
    from django.core.exceptions import ValidationError

    from jobs.acts import removal

    ada, again, day = linked
    monkeypatch.setattr(removal, "document_open", lambda document: 1)
    invoice_for(again, day)
    with pytest.raises(ValidationError, match="is not paid"):
        customer_remove(customer=ada, by=tuner)
