"""The demo in one tap; a place of real work has no such doors."""

import pytest
from django.urls import NoReverseMatch, reverse

from jobs.desk.demo import doors
from jobs.people.models import Business, User

pytestmark = pytest.mark.django_db

SIGN_IN = "/sign-in/"


def test_without_demo_there_are_no_doors(stranger, played):
    played("morning")
    assert b"invented" not in stranger.get(SIGN_IN).content
    with pytest.raises(NoReverseMatch):
        reverse("demo:enter")
    assert stranger.post("/demo/enter/", {"who": "roan"}).status_code == 404


def test_the_sign_in_page_offers_everybody_and_says_that_it_is_invented(stranger, demo, played):
    played("morning")
    page = stranger.get(SIGN_IN).content.decode()
    assert "Everything here is invented" in page
    for role in ("tuner", "helper", "office", "customer"):
        assert f"Enter as {role}: " in page
    for moment in ("morning", "midday", "evening"):
        assert f'value="{moment}"' in page


@pytest.mark.parametrize("role", ["tuner", "helper", "office", "customer"])
def test_one_tap_enters(stranger, demo, played, role):
    played("morning")
    who = next(door.who for door in doors.people() if door.role == role)
    assert stranger.post("/demo/enter/", {"who": who}).url == "/"
    assert User.objects.get(pk=stranger.session["_auth_user_id"]).role == role
    assert stranger.get("/", follow=True).status_code == 200


def test_the_browser_that_entered_is_listed_where_one_is_signed_in(stranger, demo, played):
    played("morning")
    stranger.post("/demo/enter/", {"who": "roan"})
    assert stranger.get("/account/").content.decode().count("this browser") == 1


def test_only_the_demos_people_are_doors(stranger, demo, played):
    played("morning")
    User.objects.create(username="eve", role="tuner")
    assert stranger.post("/demo/enter/", {"who": "eve"}).status_code == 404
    assert stranger.post("/demo/enter/", {"who": ""}).status_code == 404


def test_a_real_place_has_no_doors_whatever_demo_says(stranger, demo, cast):
    assert b"invented" not in stranger.get(SIGN_IN).content
    assert stranger.post("/demo/enter/", {"who": cast.tuner.username}).status_code == 404
    assert stranger.post("/demo/load/", {"moment": "morning"}).status_code == 404
    assert stranger.get("/demo/loading/").status_code == 404


def test_an_empty_demo_offers_its_moments(stranger, demo):
    Business.objects.all().delete()
    page = stranger.get("/", follow=True)
    assert page.redirect_chain[-1][0].startswith(SIGN_IN)
    assert b'value="evening"' in page.content
    assert b"Enter as" not in page.content


def test_how_far_a_moment_is_loaded_is_shown(stranger, demo, monkeypatch):
    Business.objects.all().delete()
    monkeypatch.setattr(doors.loading, "moment", "midday")
    monkeypatch.setattr(doors.loading, "done", 30)
    monkeypatch.setattr(doors.loading, "steps", 120)
    assert b'value="25"' in stranger.get("/demo/loading/").content
    fragment = stranger.get("/demo/loading/", headers={"HX-Request": "true"}).content
    assert b"<html" not in fragment
    monkeypatch.setattr(doors.loading, "moment", "")
    assert stranger.get("/demo/loading/").url == SIGN_IN
    over = stranger.get("/demo/loading/", headers={"HX-Request": "true"})
    assert over.headers["HX-Redirect"] == SIGN_IN


@pytest.mark.django_db(transaction=True)
@pytest.mark.slow
def test_a_moment_is_loaded_beside_the_pages(stranger, demo):
    seen = []
    count = doors.loading._count
    doors.loading._count = lambda done, steps: (count(done, steps), seen.append(done))
    try:
        assert stranger.post("/demo/load/", {"moment": "morning"}).url == "/demo/loading/"
        with doors.loading._lock:
            pass
    finally:
        del doors.loading._count
    assert doors.loading.fault == ""
    assert seen == sorted(seen)
    assert doors.loading.percent == 100
    assert b"Enter as tuner" in stranger.get(SIGN_IN).content
