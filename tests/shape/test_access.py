"""Every URL is in the access table, and the table holds at the door of every one of them."""

from collections.abc import Iterator
from uuid import UUID

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.converters import IntConverter, UUIDConverter

from jobs.people.access import ACCESS, ANYONE, CUSTOMER, may_open
from jobs.people.enums import CREW, EVERY_ROLE, OFFICE_ROLES, STAFF, Role

PLACEHOLDERS = {IntConverter: 999_999, UUIDConverter: UUID(int=7)}


def walk(
    patterns: list[URLPattern | URLResolver],
    spaces: tuple[str, ...] = (),
    outer: dict | None = None,
) -> Iterator[tuple[str, dict]]:
    """Every view's full name with arguments that make an address of it."""
    for pattern in patterns:
        converters = {**(outer or {}), **pattern.pattern.converters}
        if isinstance(pattern, URLResolver):
            inner = (*spaces, pattern.namespace) if pattern.namespace else spaces
            yield from walk(pattern.url_patterns, inner, converters)
        else:
            name = ":".join((*spaces, pattern.name or repr(pattern)))
            yield name, {n: PLACEHOLDERS.get(type(c), "x") for n, c in converters.items()}


VIEWS = list(walk(get_resolver().url_patterns))
NAMES = sorted({name for name, _ in VIEWS})


def test_every_view_is_in_the_table_and_every_row_of_the_table_is_a_view():
    assert sorted(ACCESS) == NAMES


def shut(response) -> bool:
    """Whether the door was closed: told to sign in, or told the role does not open it."""
    if response.status_code in (401, 403):
        return True
    return response.status_code == 302 and response.url.startswith(reverse("signin"))


@pytest.mark.django_db
@pytest.mark.parametrize("role", [*Role, None], ids=str)
def test_the_table_holds_at_every_door(cast, role):
    browser = Client(raise_request_exception=False)
    if role:
        browser.force_login(cast.by_role(role))
    wrong = []
    for name, arguments in VIEWS:
        response = browser.get(reverse(name, kwargs=arguments))
        for close in response._resource_closers:  # files handed out; closing the response
            close()  # itself would close the database of the test
        allowed = ACCESS.get(name, frozenset())
        opens = allowed is ANYONE or (role is not None and role in allowed)
        if response.status_code >= 500 or (not opens and not shut(response)):
            wrong.append((name, response.status_code))
        if opens and response.status_code == 403:
            wrong.append((name, "403 though the table opens it"))
    assert wrong == []


def doors_not_shut(browser: Client, role: Role | None) -> list[str]:
    """The views that let in, by a post, somebody whom the table keeps out."""
    return [
        name
        for name, arguments in VIEWS
        if not may_open(role=role, view_name=name)
        and not shut(browser.post(reverse(name, kwargs=arguments)))
    ]


@pytest.mark.django_db
@pytest.mark.parametrize("role", [*Role, None], ids=str)
def test_the_table_holds_against_posts_at_every_door(cast, role):
    browser = Client(raise_request_exception=False)
    if role:
        browser.force_login(cast.by_role(role))
    assert doors_not_shut(browser, role) == []


@pytest.mark.django_db
def test_without_the_gate_the_walk_finds_open_doors(cast, settings):
    gate = "jobs.people.access.AccessMiddleware"
    settings.MIDDLEWARE = [one for one in settings.MIDDLEWARE if one != gate]
    browser = Client(raise_request_exception=False)
    browser.force_login(cast.helper)
    found = doors_not_shut(browser, Role.HELPER)
    assert {"desk:jobs-again", "desk:server", "desk:trail", "money:home"} <= set(found)


@pytest.mark.django_db
def test_a_machine_is_told_to_sign_in_and_not_redirected(stranger, tuner):
    response = stranger.get(reverse("home"), headers={"Accept": "application/json"})
    assert response.status_code == 401
    assert response.json() == {"error": "Please sign in again."}


# Who may open anything of a surface at all; each view that opens wider stands here by name.
WIDEST = {
    "desk": OFFICE_ROLES,
    "money": OFFICE_ROLES,
    "portal": CUSTOMER,
    "board": STAFF,
    "workbench": CREW,
    "account": STAFF,
    "tablet": STAFF,
    "api": EVERY_ROLE,
    "manual": EVERY_ROLE,
    "": EVERY_ROLE,
}
WIDER = {
    "desk:backup-now": STAFF,  # asked for on the evening page
    "portal:open": ANYONE, "portal:renew": ANYONE,
    "portal:logo": ANYONE,  # it heads a day that somebody shares
    "account:second": ANYONE, "account:second-key": ANYONE,
    "account:forgotten": ANYONE, "account:reset": ANYONE,
    "tablet:home": ANYONE, "tablet:hello": ANYONE, "tablet:enrol": ANYONE, "tablet:pin": ANYONE,
    "tablet:switch": ANYONE,
    "signin": ANYONE, "theme": ANYONE, "language": ANYONE, "javascript-catalog": ANYONE,
    "favicon": ANYONE, "first": ANYONE, "first-code": ANYONE, "shared-day": ANYONE,
    "document": ANYONE, "document-accept": ANYONE, "document-file": ANYONE,
    "document-logo": ANYONE, "service-worker": ANYONE, "manifest": ANYONE,
}  # fmt: skip


def test_no_row_of_the_table_opens_wider_than_its_surface():
    """The walk compares doors with the table; here the table itself is judged."""
    opens_wider = {
        name: allowed
        for name, allowed in ACCESS.items()
        if not allowed <= WIDEST[name.partition(":")[0] if ":" in name else ""]
    }
    assert opens_wider == WIDER


def test_a_view_that_is_not_in_the_table_opens_for_nobody():
    assert not any(may_open(role=role, view_name="money:new") for role in [*Role, None])


@pytest.mark.django_db
@pytest.mark.parametrize("who", ["tuner", None])
def test_no_door_takes_a_post_that_another_site_could_send(cast, who):
    browser = Client(enforce_csrf_checks=True)
    if who:
        browser.force_login(getattr(cast, who))
    taken = {}
    for name, arguments in VIEWS:
        kind = "application/json" if name.startswith("api:") else "text/plain"
        answer = browser.post(reverse(name, kwargs=arguments), b"{}", content_type=kind)
        if answer.status_code not in (401, 403):
            taken[name] = answer.status_code
    assert taken == {}
