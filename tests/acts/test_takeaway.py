"""Everything can be taken away in an open form; a customer is removed on request."""

import csv
import io
import json
import uuid
import zipfile

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.urls import reverse

from jobs.acts.models import Act
from jobs.acts.removal import customer_remove
from jobs.acts.services import act_apply
from jobs.acts.takeaway import OF_CUSTOMER, SECRETS, business_takeaway, customer_takeaway
from jobs.garage.models import Bike
from jobs.outbox.services import mail_enqueue
from jobs.people.links import token_make, token_user
from jobs.people.models import Customer
from jobs.setups.models import Finding
from jobs.trackday.models import Entry
from tests.days import day_build

# Tables that are the business's own, or about its crew: no customer's export holds them.
NOT_A_CUSTOMERS = {
    "acts.Act", "advice.KeptEvidence", "advice.OwnFinding", "backups.Backup", "billing.BankFile",
    "billing.Charge", "billing.DocumentFile", "billing.PriceItem",
    "billing.Reminder", "billing.Series", "billing.TaxRate", "billing.Terms", "files.Photo",
    "garage.FormerOwner", "garage.Gauge", "garage.ModelSheet", "garage.SheetAdjuster",
    "garage.SpringInVan",
    "outbox.Job", "outbox.Mail", "outbox.MailAccount", "outbox.ServerProcess",
    "people.Business", "people.Device", "people.Edit", "people.NamedCrew",
    "people.OpenSession", "people.OwnBand", "people.Passkey", "people.RecoveryCode",
    "people.SecondFactor", "people.SetupCode", "people.SignInLink", "people.TrailEntry",
    "people.User", "people.WrongTries", "setups.SetupSheet",
    "tables.ListFormat",
    "trackday.Corner", "trackday.CrewDay", "trackday.Delay", "trackday.ServicePackage",
    "worklist.Checklist", "worklist.ChecklistItem", "worklist.DayChecklist", "worklist.DayPlan",
    "worklist.DayStatements",
    "worklist.PlanWish",
}  # fmt: skip


@pytest.fixture
def day(cast):
    return day_build(bikes=2, customers=[cast.customer_a.customer, cast.customer_b.customer])


def said(day, tuner, entry, words):
    act = act_apply(
        act_id=uuid.uuid4(), kind="finding", by=tuner, trackday=day.trackday,
        payload={"entry": entry.pk, "words": words, "by_rider": True},
    )  # fmt: skip
    assert act.outcome == "applied", act.answer


def opened(file):
    with file:
        archive = zipfile.ZipFile(io.BytesIO(file.read()))
    package = json.loads(archive.read("datapackage.json"))
    tables = {}
    for resource in package["resources"]:
        text = archive.read(resource["path"]).decode()
        tables[resource["name"]] = list(csv.DictReader(io.StringIO(text)))
    return archive, package, tables


def test_every_table_of_ours_is_a_customers_or_said_not_to_be():
    ours = {m for m in apps.get_models() if m.__module__.startswith("jobs.")}
    assert {m._meta.label for m in ours - set(OF_CUSTOMER)} - NOT_A_CUSTOMERS == set()


def test_the_package_describes_every_column_of_every_table(day, tuner):
    """Frictionless Data Package and Table Schema: specs.frictionlessdata.io (from memory)."""
    archive, package, tables = opened(business_takeaway(by=tuner))
    assert package["profile"] == "tabular-data-package"
    named = {r["name"]: [f["name"] for f in r["schema"]["fields"]] for r in package["resources"]}
    for resource in package["resources"]:
        header = archive.read(resource["path"]).decode().splitlines()[0].split(",")
        assert header == named[resource["name"]]
        assert resource["schema"]["primaryKey"] in header
        for key in resource["schema"]["foreignKeys"]:
            assert key["fields"] in header
            assert key["reference"]["fields"] in named[key["reference"]["resource"]]
    assert len(tables["trackday_entry"]) == 2
    session = tables["trackday_session"][0]
    assert session["planned_start"] == "2026-06-13T08:00:00+00:00"


def test_no_secret_is_given_out(day, tuner):
    _archive, package, _tables = opened(business_takeaway(by=tuner))
    columns = {
        f"{r['name']}.{f['name']}" for r in package["resources"] for f in r["schema"]["fields"]
    }
    assert columns & SECRETS == set()
    assert "people_user.username" in columns


def test_a_customers_own_and_nobody_elses(day, tuner, cast):
    for entry in day.entries:
        said(day, tuner, entry, f"words of {entry.pk}")
    _archive, _package, tables = opened(
        customer_takeaway(customer=cast.customer_a.customer, by=cast.customer_a)
    )
    mine = day.entries[0]
    assert [row["id"] for row in tables["people_customer"]] == [str(cast.customer_a.customer.pk)]
    assert [row["id"] for row in tables["trackday_entry"]] == [str(mine.pk)]
    assert [row["words"] for row in tables["setups_finding"]] == [f"words of {mine.pk}"]
    assert len(tables["trackday_session"]) == 6
    assert "people_user" not in tables


def test_a_customer_downloads_it_and_the_office_too(day, signed_in, cast):
    mine = signed_in(cast.customer_a).get(reverse("portal:download"))
    assert mine["Content-Type"] == "application/zip"
    _archive, _package, tables = opened(io.BytesIO(b"".join(mine.streaming_content)))
    assert len(tables["garage_bike"]) == 1
    pk = cast.customer_b.customer.pk
    answer = signed_in(cast.office).get(reverse("desk:customer-export", args=[pk]))
    assert b"".join(answer.streaming_content).startswith(b"PK")
    assert signed_in(cast.office).get(reverse("desk:everything")).status_code == 403


def test_removed_on_request_nothing_tells_who_it_was(day, tuner, cast):
    customer, entry = cast.customer_a.customer, day.entries[0]
    said(day, tuner, entry, "Ada says it chatters")
    mail_enqueue(to=customer.email, subject="Your bikes", text="Ada")
    token = token_make(customer=customer)
    removed = customer_remove(customer=customer, by=tuner)
    assert removed.bikes == 1
    customer.refresh_from_db()
    assert (customer.name, customer.email, customer.phone) == ("Removed customer", "", "")
    assert token_user(token=token) is None
    assert Bike.objects.get(owner=customer).frame_last4 == ""
    assert Entry.objects.get(pk=entry.pk).rider.name == "Removed rider"
    assert Finding.objects.get(entry=entry).words == "removed"
    assert "chatters" not in json.dumps(list(Act.objects.values("payload", "answer")))
    archive, _package, tables = opened(business_takeaway(by=tuner))
    everything = b"".join(archive.read(n) for n in archive.namelist()).decode()
    assert "Ada" not in everything
    assert len(tables["setups_finding"]) == 1
    other = Customer.objects.get(pk=cast.customer_b.customer.pk)
    assert other.name == "Ben"


def test_every_way_to_find_a_person_is_removed(day, tuner, cast):
    customer = cast.customer_a.customer
    told = {
        "email": "ada@example.org", "phone": "+353 1 555 0000", "street": "1 Quay", "city": "Cobh",
        "postcode": "P24", "country": "IE", "tax_id": "IE6388047V", "note": "pays cash",
    }  # fmt: skip
    Customer.objects.filter(pk=customer.pk).update(**told)
    customer.refresh_from_db()
    customer_remove(customer=customer, by=tuner)
    customer.refresh_from_db()
    assert {name: getattr(customer, name) for name in told} == dict.fromkeys(told, "")


def test_nobody_is_removed_while_an_invoice_is_open(day, tuner, cast, monkeypatch):
    from jobs.acts import removal
    from jobs.billing.models import Document, Series

    customer = cast.customer_a.customer
    series, _made = Series.objects.get_or_create(kind="invoice", defaults={"prefix": "INV-"})
    draft = Document.objects.create(
        series=series, kind="invoice", customer=customer, currency="EUR", language="en",
        scheme="vat", prices_include_tax=True, seller={}, buyer={},
    )  # fmt: skip
    monkeypatch.setattr(removal, "document_open", lambda document: 1)
    Document.objects.filter(pk=draft.pk).update(
        number=1, label="INV-1", issued_on=day.trackday.date, issued_at="2026-06-13T18:00Z"
    )
    with pytest.raises(ValidationError, match="INV-1 is not paid"):
        customer_remove(customer=customer, by=tuner)
    customer.refresh_from_db()
    assert customer.name == "Ada"


def test_the_name_is_typed_before_anybody_is_removed(day, signed_in, tuner, cast):
    customer = cast.customer_a.customer
    url = reverse("desk:customer-remove", args=[customer.pk])
    client = signed_in(tuner)
    assert "Type the name exactly" in client.post(url, {"name": "ada"}).content.decode()
    assert client.post(url, {"name": "Ada"}).url == reverse("desk:customers")
    customer.refresh_from_db()
    assert customer.name == "Removed customer"
