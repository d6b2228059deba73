"""Every form of every page of a worked day, each field with what nobody means well.

Each is refused in words or wholly done: no answer is a 500. What is done is undone again, so
each form meets the same day. The suite sends a few; ``make forms INPUTS=10000`` sends many.
"""

import logging
import os
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve
from lxml import html

from jobs.people.enums import Role
from tests.pages import Worked, pages_of

pytestmark = [pytest.mark.slow, pytest.mark.django_db]

INPUTS = int(os.environ.get("INPUTS", "150"))
SEED = int(os.environ.get("SEED", "1"))
SURFACES = ("board", "tablet", "workbench", "desk", "money", "", "account", "portal")
LEFT_OUT = None
ODD = (
    LEFT_OUT, "a\0b", "²", "9" * 5000, "99999999999999999999", "-1", "1e999999", "NaN",
    "0001-01-01", "9999-12-31", "24:61", "x" * 5000, "[" * 100_000,
    '[["\\ud800", "date;amount\\n2026-06-15;1"]]', "[[NaN, 1]]", '{"a": {"a": []}}',
)  # fmt: skip


@dataclass(frozen=True)
class SentForm:
    """A form as its page has it, and who may send it."""

    view: str
    role: Role | None
    method: str
    action: str
    fields: tuple[tuple[str, str | list[str]], ...]

    @property
    def kind(self) -> tuple[object, ...]:
        """Forms of one view with the same fields are one kind."""
        return (self.view, self.method, *[name for name, _value in self.fields])


def value_of(field) -> str | list[str]:
    if field.get("type") == "file":
        return ""
    if field.get("type") in ("checkbox", "radio"):
        return field.get("value", "on")
    if isinstance(field.value, str):
        return field.value
    if field.tag == "select" and not field.multiple:
        return next(iter(field.value_options), "")
    return list(field.value or [])


def forms_of(client: Client, path: str, role: Role | None) -> Iterator[SentForm]:
    document = html.fromstring(client.get(path).content)
    document.make_links_absolute(f"http://testserver{path}")
    for form in document.forms:
        action = (form.get("action") or path).removeprefix("http://testserver").split("#")[0]
        try:
            view = resolve(action.split("?")[0]).view_name
        except Resolver404:
            continue
        named = {field.name: field for field in form.inputs if field.name}
        named.pop("csrfmiddlewaretoken", None)
        fields = tuple((name, value_of(named[name])) for name in sorted(named))
        yield SentForm(view, role, form.method, action, fields)


def answered(client: Client, form: SentForm, field: str, odd: str | None) -> str:
    """What is wrong with the answer; empty: nothing. All that was written is undone."""
    fields = dict(form.fields)
    fields[field] = odd or ""
    if odd is LEFT_OUT:
        del fields[field]
    around = transaction.atomic()
    around._from_testcase = True  # within it others may say that theirs is the outermost
    try:
        with around:
            send = client.get if form.method == "GET" else client.post
            answer = send(form.action, fields)
            for close in answer._resource_closers:
                close()
            transaction.set_rollback(True)
    except Exception as error:  # as a server would: this one failed, and the next is sent
        return f"{type(error).__name__}: {str(error)[:200]}"
    if answer.status_code < 500:
        return ""
    failed = getattr(answer, "exc_info", None)
    return f"{answer.status_code} {failed[1]!r:.200}" if failed else str(answer.status_code)


def test_no_form_of_a_page_fails_at_what_nobody_means_well(played):
    played("evening")
    clients = {None: Client(raise_request_exception=False)}
    for role, user in Worked().users.items():
        clients[role] = Client(raise_request_exception=False)
        clients[role].force_login(user)
    kinds: dict[object, SentForm] = {}
    for page in pages_of(*SURFACES):
        for form in forms_of(clients[page.role], page.path, page.role):
            kinds.setdefault(form.kind, form)
    forms = [form for form in kinds.values() if form.fields and form.view != "signout"]
    assert len({form.view for form in forms}) > 70
    inputs = [(form, name, odd) for form in forms for name, _ in form.fields for odd in ODD]
    chosen = random.Random(SEED).sample(inputs, min(INPUTS, len(inputs)))
    logging.disable(logging.CRITICAL)
    try:
        wrong = [
            f"{form.view} {form.action} {name}={str(odd)[:30]!r}: {fault}"
            for form, name, odd in chosen
            if (fault := answered(clients[form.role], form, name, odd))
        ]
    finally:
        logging.disable(logging.NOTSET)
    sys.stdout.write(f"{len(chosen)} of {len(inputs)} inputs of {len(forms)} forms\n")
    assert "\n".join(wrong) == ""
