"""Whoever signs in gets a session of their own: one that a stranger planted opens nothing."""

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse

from jobs.people import devices
from jobs.people.links import token_make
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db


def by_password(browser, cast):
    return browser.post(reverse("signin"), {"username": "tuner", "password": PASSWORD})


def by_link(browser, cast):
    token = token_make(customer=cast.customer_a.customer)
    return browser.post(reverse("portal:open", args=[token]))


def by_pin(browser, cast):
    _made, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="192.0.2.7")
    browser.cookies[settings.TABLET_COOKIE_NAME] = f"{device.pk}.{secret}"
    devices.pin_set(user=cast.helper, pin="7412", by=cast.tuner)
    return browser.post(reverse("tablet:pin"), {"user": cast.helper.pk, "pin": "7412"})


@pytest.mark.parametrize("way", [by_password, by_link, by_pin])
def test_a_planted_session_is_nobodys_after_signing_in(cast, way):
    browser = Client()
    session = browser.session
    session["planted"] = "by a stranger"
    session.save()
    planted = session.session_key
    assert browser.cookies[settings.SESSION_COOKIE_NAME].value == planted
    assert way(browser, cast).status_code in (200, 302)
    assert browser.session.get("_auth_user_id")
    assert browser.session.session_key != planted
    assert not Session.objects.filter(session_key=planted).exists()
