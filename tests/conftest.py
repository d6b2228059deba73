"""The fixed cast every test of access uses, and what a test may need from the machine.

The tuner, a helper and the office work here; customers A and B must never see each
other's bikes; the stranger has not signed in at all.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import hypothesis
import pytest
from django.test import Client, TransactionTestCase
from django.utils import translation

from jobs.people import setup_code
from jobs.people.access import ACCESS, ANYONE
from jobs.people.enums import Role
from jobs.people.models import Business, Customer, User

from . import alone, needs
from .databases import TestDatabase, drop_states

pytest_plugins = ["tests.browsers", "tests.browsing", "tests.scenarios"]

hypothesis.settings.register_profile("tests", deadline=None)  # a busy machine is no failure
hypothesis.settings.load_profile("tests")

PASSWORD = "gravel-trap-7"
DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    """A request leaves its language active in the thread: the next test begins in English."""
    yield
    translation.deactivate()


def pytest_runtest_setup(item: pytest.Item) -> None:
    needs.check(item)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark ``database`` what may ask it: on another database the rest would say the same.

    pytest-django refuses every query of a test that neither is marked ``django_db`` nor asks
    for a fixture of the database.
    """
    for item in items:
        fixtures = getattr(item, "fixturenames", ())
        if item.get_closest_marker("django_db") or not DATABASE_FIXTURES.isdisjoint(fixtures):
            item.add_marker("database")


OWNS_RUN_FOLDER = pytest.StashKey[bool]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[OWNS_RUN_FOLDER] = alone.run_folder_make()


def pytest_unconfigure(config: pytest.Config) -> None:
    needs.remove_data_dir()
    if config.stash[OWNS_RUN_FOLDER]:
        drop_states(alone.run_folder())
        alone.run_folder_remove()


@pytest.fixture(autouse=True)
def no_tuner_seen() -> None:
    """A process remembers that there is a tuner; the next test may have none."""
    setup_code.forget()


@pytest.fixture(scope="session")
def test_database() -> TestDatabase:
    return TestDatabase(alone.run_folder())


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None, django_db_blocker: Any, test_database: TestDatabase
) -> Iterator[None]:
    """The database, instead of the one pytest-django would migrate in every process.

    After a test that really commits it is replaced, not emptied: issued documents are guarded
    by the database itself, and a copy takes less time than emptying every table.
    """
    with django_db_blocker.unblock(), test_database.ready():
        empty = TransactionTestCase._fixture_teardown
        TransactionTestCase._fixture_teardown = lambda _case: test_database.renew()
        with django_db_blocker.block():
            yield
        TransactionTestCase._fixture_teardown = empty


@dataclass(frozen=True)
class Cast:
    tuner: User
    helper: User
    office: User
    customer_a: User
    customer_b: User

    def by_role(self, role: str) -> User:
        """One of each role; customers by customer A."""
        return self.customer_a if role == Role.CUSTOMER else getattr(self, role)


def _person(username: str, role: Role, first_name: str) -> User:
    user = User(username=username, role=role, first_name=first_name)
    user.set_password(PASSWORD)
    user.save()
    if role == Role.CUSTOMER:
        Customer.objects.create(name=first_name, email=f"{username}@example.org", user=user)
    return user


@pytest.fixture
def business(db: None) -> Business:
    business, _ = Business.objects.update_or_create(
        pk=1, defaults={"name": "Brookfield Suspension", "email": "van@example.org"}
    )
    return business


@pytest.fixture
def cast(business: Business) -> Cast:
    return Cast(
        tuner=_person("tuner", Role.TUNER, "Tess"),
        helper=_person("helper", Role.HELPER, "Hal"),
        office=_person("office", Role.OFFICE, "Odile"),
        customer_a=_person("customer-a", Role.CUSTOMER, "Ada"),
        customer_b=_person("customer-b", Role.CUSTOMER, "Ben"),
    )


@pytest.fixture
def tuner(cast: Cast) -> User:
    return cast.tuner


@pytest.fixture
def helper(cast: Cast) -> User:
    return cast.helper


@pytest.fixture
def office(cast: Cast) -> User:
    return cast.office


@pytest.fixture
def customer_a(cast: Cast) -> User:
    return cast.customer_a


@pytest.fixture
def customer_b(cast: Cast) -> User:
    return cast.customer_b


@pytest.fixture
def demo(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """As with DEMO=1 from the start of the process."""
    settings.DEMO = True
    settings.ROOT_URLCONF = "tests.demo_urls"
    for name in ("demo:enter", "demo:load", "demo:loading"):
        monkeypatch.setitem(ACCESS, name, ANYONE)


@pytest.fixture
def stranger() -> Client:
    """A browser nobody signed in on."""
    return Client()


@pytest.fixture
def signed_in() -> Callable[[User], Client]:
    """``signed_in(user)``: a browser that user signed in on."""

    def client(user: User) -> Client:
        browser = Client()
        browser.force_login(user)
        return browser

    return client
