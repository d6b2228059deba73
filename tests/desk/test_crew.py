"""The crew: roles are a tuner's to give, and one tuner always remains."""

import pytest
from django.core.management import call_command
from django.urls import reverse

from jobs.people.models import User


@pytest.fixture
def desk(signed_in, tuner):
    return signed_in(tuner)


def form(user: User, **changed: str) -> dict[str, str]:
    fields = {"first_name": user.first_name, "username": user.username, "role": user.role}
    return {**fields, "is_active": "on", **changed}


def edit(desk, user: User, **changed: str) -> str:
    url = reverse("desk:crew-edit", args=[user.pk])
    fields = {name: value for name, value in form(user, **changed).items() if value}
    return desk.post(url, fields, follow=True).content.decode()


@pytest.mark.parametrize("changed", [{"role": "helper"}, {"is_active": ""}])
def test_the_last_tuner_is_neither_demoted_nor_shut_out(desk, tuner, changed):
    page = edit(desk, tuner, **changed)
    assert "This is the last tuner: make somebody else a tuner first" in page
    tuner.refresh_from_db()
    assert (tuner.role, tuner.is_active) == ("tuner", True)


def test_with_a_second_tuner_the_first_may_become_a_helper(desk, tuner, helper):
    edit(desk, helper, role="tuner")
    helper.refresh_from_db()
    assert helper.role == "tuner"
    edit(desk, tuner, role="helper")
    tuner.refresh_from_db()
    assert tuner.role == "helper"


def test_a_tuner_who_may_not_sign_in_does_not_count(desk, tuner, helper):
    edit(desk, helper, role="tuner", is_active="")
    assert "This is the last tuner" in edit(desk, tuner, role="office")


def test_createsuperuser_makes_a_tuner(db, monkeypatch):
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "gravel-trap-7")
    call_command("createsuperuser", "--noinput", username="root", email="r@example.org")
    assert User.objects.get().role == "tuner"
