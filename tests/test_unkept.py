"""What no column can keep is refused in words, and nothing of it is written."""

import pytest
from django.db import DataError
from django.urls import reverse

pytestmark = pytest.mark.django_db


def test_a_nul_is_refused_on_both_databases_alike(signed_in, tuner):
    desk = signed_in(tuner)
    for answer in (
        desk.post(reverse("theme"), {"theme": "night", "next": "a\0b"}),
        desk.post(reverse("theme"), {"a\0b": "x"}),
        desk.get(reverse("desk:customers"), {"q": "a\0b"}),
    ):
        assert answer.status_code == 400
        assert "has a character that cannot be kept" in " ".join(answer.content.decode().split())
    asked = {"Accept": "application/json"}
    assert "error" in desk.get(reverse("desk:customers"), {"q": "\0"}, headers=asked).json()


def test_what_a_column_cannot_hold_is_refused_where_the_database_says_so(
    signed_in, tuner, monkeypatch, django_assert_num_queries
):
    def fails(_request):
        raise DataError("value too long for type character varying(120)")

    monkeypatch.setattr("paddock.views.context.places", fails)
    browser = signed_in(tuner)
    with django_assert_num_queries(2):  # who asks; the page itself asks nothing
        answer = browser.get(reverse("home"))
    assert answer.status_code == 400
    assert "too long" in answer.content.decode()
