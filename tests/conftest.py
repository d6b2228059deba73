"""The fixed cast every test of access uses, and what a test may need from the machine.

The tuner, a helper and the office work here; customers A and B must never see each
other's bikes; the stranger has not signed in at all.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import hypothesis
import pytest
from django.test import Client, TransactionTestCase

from jobs.billing import triggers
from jobs.people.enums import Role
from jobs.people.models import Business, Customer, User

from . import needs

pytest_plugins = ["tests.browsing"]

hypothesis.settings.register_profile("tests", deadline=None)  # a busy machine is no failure
hypothesis.settings.load_profile("tests")

PASSWORD = "gravel-trap-7"


def pytest_runtest_setup(item: pytest.Item) -> None:
    needs.check(item)


@pytest.fixture(scope="session", autouse=True)
def _test_process() -> Iterator[None]:
    yield
    needs.remove_data_dir()


@pytest.fixture(scope="session", autouse=True)
def _emptying_a_test_database() -> Iterator[None]:
    """Issued documents are guarded by the database, from ``flush`` too: lift that between
    tests that really commit. The migration signal after the flush sets the guards up again."""
    empty = TransactionTestCase._fixture_teardown

    def without_guards(case: TransactionTestCase) -> None:
        triggers.take_down()
        empty(case)
        triggers.set_up()

    TransactionTestCase._fixture_teardown = without_guards
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
