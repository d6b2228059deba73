"""What forms and addresses say of rows and pages, whoever wrote them."""

import pytest
from django.test import RequestFactory
from django.urls import reverse

from jobs.people.typed import redirect_within, whole_number
from tests.days import day_build


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("7", 7), ("0", 0), ("٣", 3), ("9" * 18, 10**18 - 1), ("9" * 19, None),
        ("9" * 5000, None), ("²", None), ("-1", None), ("1.5", None), ("", None), (None, None),
    ],
)  # fmt: skip
def test_a_whole_number_is_one_that_a_database_holds(text, number):
    assert whole_number(text) == number


@pytest.mark.parametrize(
    ("target", "led"),
    [
        ("/desk/?a=1", "/desk/?a=1"),
        ("home", "home"),  # beside the page, and never the view of that name
        ("0001-01-01", "0001-01-01"),
        ("/a\nX-Own: 1", "/a%0AX-Own:%201"),
        ("", "/desk/"),
        ("//elsewhere.example/", "/desk/"),
        ("https://elsewhere.example/", "/desk/"),
        ("javascript:alert(1)", "/desk/"),
        ("http://[", "/desk/"),
    ],
)
def test_nobody_is_led_elsewhere(target, led):
    request = RequestFactory().get("/")
    assert redirect_within(request, target, "desk:home").url == led


@pytest.mark.django_db
def test_after_signing_in_the_name_of_a_view_is_no_address(tuner, stranger):
    form = {"username": "tuner", "password": "gravel-trap-7", "next": "no-page-has-this-name"}
    assert stranger.post(reverse("signin"), form).status_code == 302
    assert stranger.post(reverse("theme"), {"theme": "night", "next": "x"}).status_code == 302


@pytest.mark.django_db
@pytest.mark.parametrize("number", ["7²", "①", "٣", "9" * 10])
def test_a_start_number_or_a_place_of_odd_digits_stops_no_page(signed_in, tuner, number):
    """Python calls ² a digit, and refuses to read it as a number."""
    day = day_build(bikes=2)
    entry = day.entries[0]
    entry.number = entry.bay = number[:8]
    entry.save()
    browser = signed_in(tuner)
    for view in ("desk:trackday", "board:plan", "board:tags", "board:print", "board:day"):
        assert browser.get(reverse(view, args=[day.trackday.pk])).status_code == 200, view
