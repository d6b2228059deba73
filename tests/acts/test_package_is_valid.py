"""The package of every customer is a valid Data Package, as the Frictionless library judges it."""

import csv
import io
import json
import random
import zipfile

import pytest
from frictionless import Package

from jobs.acts.takeaway import business_takeaway, customer_takeaway
from jobs.garage.office import bike_owner_change
from jobs.people.models import Customer, User
from jobs.trackday.models import Entry
from tests.acts.doing import do
from tests.days import day_build

pytestmark = pytest.mark.django_db

FORMULA = '=HYPERLINK("http://a.example","x")'


def faults(file, folder):
    """What the library finds wrong: types, choices, keys, and pointers that lead nowhere.

    Tables without a row are not given to it, which takes most of its time; that nothing
    points into them is checked here.
    """
    with file, zipfile.ZipFile(file) as archive:
        archive.extractall(folder)
    package = json.loads((folder / "datapackage.json").read_text())
    rows = {
        one["name"]: list(csv.DictReader(io.StringIO((folder / one["path"]).read_text())))
        for one in package["resources"]
    }
    package["resources"] = [one for one in package["resources"] if rows[one["name"]]]
    for one in package["resources"]:
        into_empty = [
            key
            for key in one["schema"]["foreignKeys"]
            if not rows.get(key["reference"]["resource"], [True])
        ]
        assert [row[key["fields"]] for key in into_empty for row in rows[one["name"]]] == [
            "" for _key in into_empty for _row in rows[one["name"]]
        ]
        one["schema"]["foreignKeys"] = [
            key for key in one["schema"]["foreignKeys"] if key not in into_empty
        ]
    report = Package.from_descriptor(package, basepath=str(folder)).validate()
    return [error.message for task in report.tasks for error in task.errors] + [
        error.message for error in report.errors
    ]


def test_of_every_customer_of_the_demo(demo, played, tmp_path):
    played("evening")
    tuner = User.objects.filter(role="tuner").first()
    customers = list(Customer.objects.order_by("pk"))
    assert len(customers) > 20
    for customer in customers:
        folder = tmp_path / str(customer.pk)
        assert faults(customer_takeaway(customer=customer, by=tuner), folder) == [], customer
    assert faults(business_takeaway(by=tuner), tmp_path / "all") == []


@pytest.mark.parametrize("seed", range(2))
def test_of_customers_of_random_books(cast, tmp_path, seed):
    """Others pay, bikes are sold, readings are moved to another bike and withdrawn."""
    drawn = random.Random(seed)
    others = [Customer.objects.create(name=f"Customer {n}") for n in range(3)]
    customers = [cast.customer_a.customer, cast.customer_b.customer, *others]
    day = day_build(bikes=6, customers=customers)
    for entry in day.entries:
        Entry.objects.filter(pk=entry.pk).update(payer=drawn.choice(customers))
        do("arrived", cast.tuner, day.trackday, entry=entry.pk)
    read = []
    for _ in range(20):
        what, entry = drawn.randrange(4), drawn.choice(day.entries)
        if what == 0:
            values = [{"name": "seconds", "value": str(drawn.randint(1, 3)), "unit": "s"}]
            read.append(
                do(
                    "reading",
                    cast.tuner,
                    day.trackday,
                    entry=entry.pk,
                    kind="push",
                    end="front",
                    values=values,
                )
            )
        elif what == 1 and read:
            rows = [str(read.pop().pk)]
            do("move", cast.tuner, day.trackday, rows=rows, to=entry.pk)
        elif what == 2:
            do("finding", cast.tuner, day.trackday, entry=entry.pk, words=FORMULA, by_rider=True)
        else:
            entry.bike.refresh_from_db()
            bike_owner_change(
                bike=entry.bike, owner=drawn.choice(customers), shown_to_next=drawn.random() < 0.5
            )
    for customer in customers:
        folder = tmp_path / str(customer.pk)
        assert faults(customer_takeaway(customer=customer, by=cast.tuner), folder) == []


def cells(archive, path):
    text = archive.read(path).decode()
    return [cell for row in csv.reader(io.StringIO(text)) for cell in row]


def test_a_formula_is_as_typed_for_programs_and_a_text_for_people(cast):
    """Which signs begin a formula: OWASP, CSV Injection (from memory)."""
    day = day_build(bikes=1, customers=[cast.customer_a.customer])
    entry = day.entries[0]
    typed = [FORMULA, "+1", "-1", "@SUM(A1)", "plain = words"]
    for words in typed:
        do("finding", cast.tuner, day.trackday, entry=entry.pk, words=words, by_rider=True)
    with customer_takeaway(customer=cast.customer_a.customer, by=cast.tuner) as file:
        archive = zipfile.ZipFile(file)
        programs = cells(archive, "data/setups_finding.csv")
        people = cells(archive, "spreadsheets/setups_finding.csv")
        assert set(typed) <= set(programs)
        assert {f"'{words}" for words in typed[:4]} | {typed[4]} <= set(people)
        for name in archive.namelist():
            if name.startswith("spreadsheets/"):
                assert not [cell for cell in cells(archive, name) if cell.startswith(("=", "@"))]
