"""Every screen of the crew and of a customer has its paragraph, and the "?" leads to it."""

import re

import pytest
from django.test import Client
from django.urls import resolve, reverse

from jobs.manual.screens import MANUALS, PLACES, help_url
from jobs.people.access import may_open
from jobs.people.enums import Role
from tests.pages import Worked, pages_of
from tests.shape.test_access import NAMES

pytestmark = pytest.mark.django_db

SURFACES = ("board", "workbench", "account", "tablet", "portal", "desk", "money", "")
ASK = re.compile(r'<a class="to-manual" href="([^"]+)"')


@pytest.fixture
def day(demo, played):
    return played("evening")


def test_every_screen_that_asks_who_one_is_has_a_paragraph(day):
    """Fragments, files and what only takes a post are no pages (``tests/pages.py``)."""
    screens = {page.name for page in pages_of(*SURFACES) if page.role}
    assert len(screens) > 80
    assert sorted(screens - set(PLACES)) == []


@pytest.mark.parametrize(
    ("role", "surfaces"),
    [(Role.TUNER, ("board", "workbench", "money")), (Role.CUSTOMER, ("portal",))],
    ids=["tuner", "customer"],
)
def test_the_sign_at_the_head_leads_to_the_paragraph(day, role, surfaces):
    worked = Worked()
    reader = Client()
    reader.force_login(worked.users[role])
    pages = [page for page in pages_of(*surfaces) if page.role == role]
    assert pages
    for page in pages:
        asked = ASK.search(reader.get(page.path).content.decode())
        assert asked, page.name
        assert asked[1] == help_url(view_name=page.name, role=role), page.name
    for address in {help_url(view_name=page.name, role=role) for page in pages}:
        path, _, name = address.partition("#")
        assert f'id="{name}"' in reader.get(path).content.decode(), address


def test_a_paragraph_names_only_views_that_exist():
    assert sorted(set(PLACES) - set(NAMES)) == []


@pytest.mark.parametrize("role", list(Role), ids=str)
def test_the_sign_never_leads_where_its_reader_may_not_go(role):
    for screen in NAMES:
        path = help_url(view_name=screen, role=role).partition("#")[0]
        assert may_open(role=role, view_name=resolve(path).view_name), screen


def test_no_name_occurs_twice():
    names = [one.name for manual in MANUALS.values() for one in manual.paragraphs]
    screens = [s for m in MANUALS.values() for one in m.paragraphs for s in one.screens]
    assert len(names) == len(set(names))
    assert len(screens) == len(set(screens))


@pytest.mark.parametrize("role", list(Role), ids=str)
def test_the_manual_of_ones_own_job_opens_first(cast, role):
    reader = Client()
    reader.force_login(cast.by_role(role))
    answer = reader.get(reverse("manual:home"))
    assert answer.url == reverse(f"manual:{role}")
    page = reader.get(answer.url).content.decode()
    offered = re.findall(r'<a class="btn" href="/manual/(\w+)/"', page)
    own_only = role == Role.CUSTOMER
    assert sorted(offered) == ([] if own_only else sorted(set(MANUALS) - {str(role)}))


def test_a_customer_reads_only_their_own(cast):
    reader = Client()
    reader.force_login(cast.by_role(Role.CUSTOMER))
    answers = {job: reader.get(reverse(f"manual:{job}")).status_code for job in MANUALS}
    assert answers == {"helper": 403, "tuner": 403, "office": 403, "customer": 200}


def test_a_page_of_an_error_leads_to_the_readers_own_manual():
    assert help_url(view_name="", role=Role.HELPER) == reverse("manual:home")
