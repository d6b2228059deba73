"""A van's SQLite becomes PostgreSQL and back: the same rows, the same guards, the next number."""

import pytest

from jobs.backups.moving import _plain
from tests.places import empty_place

# The product's own reading of every table, by other means than the command's.
HOLDS = """
import hashlib, json
from datetime import timezone
from django.apps import apps
from django.db import connection
rows = {}
for model in apps.get_models(include_auto_created=True):
    fields = [f.attname for f in model._meta.concrete_fields]
    found = sorted(
        json.dumps([bytes(v).hex() if isinstance(v, (bytes, memoryview)) else v for v in row],
                   sort_keys=True, default=str)
        for row in model._base_manager.values_list(*fields)
    )
    rows[model._meta.db_table] = [len(found), hashlib.sha256("".join(found).encode()).hexdigest()]
print(json.dumps({"vendor": connection.vendor, "rows": rows}))
"""
GUARDS = """
import json
from django.db import IntegrityError, connection, transaction
from jobs.billing.models import Document
from jobs.people.models import Customer
issued = Document.objects.exclude(number=None).first()
try:
    with transaction.atomic():
        Document.objects.filter(pk=issued.pk).update(gross_minor=1)
    refused = False
except IntegrityError:
    refused = True
last = max(Customer.objects.values_list("pk", flat=True))
print(json.dumps({"refused": refused, "next": Customer.objects.create(name="New").pk - last}))
"""


@pytest.mark.django_db
@pytest.mark.slow
@pytest.mark.postgresql
def test_everything_moves_to_sqlite_and_back_and_is_still_guarded(tmp_path):
    with empty_place(tmp_path / "one") as one, empty_place(tmp_path / "two") as two:
        one.run("manage.py", "migrate", "-v", "0")
        one.run("manage.py", "demo", "--moment", "evening", DEMO="1")
        held = one.python(HOLDS)
        file = f"sqlite:///{tmp_path / 'van.sqlite3'}"
        said = one.run("manage.py", "database_move", file)
        assert f"Equal: {sum(count for count, _sum in held['rows'].values())} rows" in said

        again = one.try_run("manage.py", "database_move", file)
        assert again.returncode
        assert "The database to move to is in use: it holds " in again.stderr

        address = two.environment["DATABASE_URL"]
        two.environment["DATABASE_URL"] = file
        van = two.python(HOLDS)
        assert (held["vendor"], van["vendor"]) == ("postgresql", "sqlite")
        assert van["rows"] == held["rows"]
        two.run("manage.py", "database_move", address)
        assert two.python(GUARDS) == {"refused": True, "next": 1}
        two.environment["DATABASE_URL"] = address
        back = two.python(HOLDS)
        assert back["rows"] == held["rows"]
        assert two.python(GUARDS) == {"refused": True, "next": 1}


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["mysql://van@db/paddock", "paddock"])
def test_an_address_that_cannot_be_meant_is_refused(tmp_path, address):
    with empty_place(tmp_path) as place:
        answer = place.try_run("manage.py", "database_move", address)
    assert answer.returncode
    assert "It must begin with postgres:// or sqlite:///." in answer.stderr


def test_a_value_is_told_alike_whatever_its_type():
    assert _plain({"b": (1, None), "a": b"\x01"}) == {"a": "01", "b": [1, None]}
