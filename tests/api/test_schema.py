"""The API against its own schema: Schemathesis, every check, single requests and sequences.

It makes requests that the schema allows and requests that it does not, follows the links
between operations, and judges each answer (https://schemathesis.readthedocs.io). The suite makes
a few; ``make schema EXAMPLES=50`` makes many, by all its methods, and prints how many.

One check is left out: whether one person reaches what is another's, for which Schemathesis would
have to be told whose each row is. ``test_api.py`` has that.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.middleware.csrf import CSRF_SECRET_LENGTH, CSRF_SESSION_KEY
from django.test import Client
from django.urls import reverse

from jobs.acts.models import Act
from jobs.people.enums import Role
from tests.days import day_build, local

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

EXAMPLES = os.environ.get("SCHEMA_EXAMPLES", "")
FEW = ["--phases", "fuzzing,stateful", "--max-examples", "4"]
MANY = ["--max-examples", EXAMPLES]
TOKEN = "a" * CSRF_SECRET_LENGTH
# An act that the schema forbids is answered 200 and refused in the answer: one by one.
ONE_BY_ONE = "negative_data_rejection"


@pytest.fixture(autouse=True)
def _token_in_the_session(settings):
    settings.CSRF_USE_SESSIONS = True  # one cookie less: Schemathesis sends what the schema names


@pytest.fixture
def day(cast):
    customers = [cast.customer_a.customer, cast.customer_b.customer]
    return day_build(bikes=2, at=local(9, 40), customers=customers)


def config(folder: Path, user) -> Path:
    """Schemathesis sends the cookies itself, so that it can also leave them out."""
    browser = Client()
    browser.force_login(user)
    kept = browser.session
    kept[CSRF_SESSION_KEY] = TOKEN
    kept.save()
    session = browser.cookies[settings.SESSION_COOKIE_NAME].value
    file = folder / "schemathesis.toml"
    file.write_text(
        f'[parameters]\n"cookie.{settings.SESSION_COOKIE_NAME}" = "{session}"\n\n'
        '[[operations]]\ninclude-path = "/api/acts/"\n'
        f"[operations.checks.{ONE_BY_ONE}]\nenabled = false\n"
    )
    return file


def run(live_server, folder: Path, user, *more: str) -> str:
    """Run Schemathesis as that person and return its report; fails if it found anything."""
    browser = Client()
    browser.force_login(user)
    schema = folder / "schema.yaml"
    schema.write_bytes(browser.get(reverse("api:schema")).content)
    done = subprocess.run(
        [
            Path(sys.executable).with_name("schemathesis"),
            "--config-file", config(folder, user), "run", schema, "--url", live_server.url,
            "--seed", "1", "--no-color",
            "-H", f"X-CSRFToken: {TOKEN}",
            *(MANY if EXAMPLES else FEW), *more,
        ],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    if EXAMPLES:
        sys.stdout.write(done.stdout[done.stdout.index("= SUMMARY") :])
    return done.stdout


def cases(said: str) -> int:
    found = re.search(r"(\d+) generated", said)
    assert found, said
    return int(found[1])


def test_the_api_keeps_to_its_schema(live_server, tmp_path, cast, day):
    said = run(live_server, tmp_path, cast.tuner)
    assert "9 selected / 9 total" in said
    assert re.search(r"Scenarios: +[1-9]", said)
    assert cases(said) > 30
    assert Act.objects.exists()


def test_a_customers_own_operations_keep_to_it_too(live_server, tmp_path, cast, day):
    assert get_user_model().objects.get(pk=cast.customer_a.pk).role == Role.CUSTOMER
    said = run(live_server, tmp_path, cast.customer_a, "--include-path-regex", "mine|bike")
    assert cases(said) > 10
