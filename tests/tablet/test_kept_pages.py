"""What a tablet keeps holds no money, and of contacts only the day's call and text links."""

import re

import pytest
from django.test import Client

from jobs.acts import tablets
from jobs.people import devices
from jobs.people.enums import Role
from jobs.people.models import Customer, Rider, User
from jobs.tablet import day
from jobs.trackday.at_hand import trackday_at_hand
from jobs.trackday.models import Entry
from tests.pages import pages_of
from tests.shape.source import ROOT

pytestmark = pytest.mark.django_db

WORKER = ROOT / "jobs/tablet/static/tablet/worker.js"
MONEY = re.compile(
    r"[€£$]\s?\d|\d\s?(€|EUR\b)|\bcost per lap\b|\binvoice [A-Z]?-?\d", re.IGNORECASE
)
LINKS = re.compile(r'href="(tel|sms):[^"]*"')


def never_kept() -> re.Pattern[str]:
    """The addresses the service worker passes by, from its own text."""
    found = re.search(r"const NEVER = /(.+)/;", WORKER.read_text())
    assert found
    return re.compile(found[1])


def contacts() -> set[str]:
    rows = [*Customer.objects.values_list("email", "phone", "street")]
    rows += [(phone,) for phone in Rider.objects.values_list("phone", flat=True)]
    return {text for row in rows for text in row if text}


def tablet_cookie(user: User) -> str:
    _, code = devices.device_prepare(name="yellow", by=user)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    return f"{device.pk}.{secret}"


@pytest.fixture
def worked(demo, played) -> None:
    played("evening")
    Rider.objects.update(phone="+353 1 555 0100")
    Customer.objects.update(phone="+353 1 555 0199")


def kept_paths() -> set[str]:
    """What is fetched ahead, and whatever else somebody of the crew may come by."""
    never = never_kept()
    seen = {page.path for page in pages_of("board", "workbench", "tablet", "") if page.role}
    return {
        path
        for path in {*day.pages_of(trackday_at_hand())["pages"], *seen}
        if not never.match(path)
    }


@pytest.mark.parametrize("role", [Role.TUNER, Role.HELPER])
def test_what_is_kept_holds_neither_money_nor_contacts(worked, role):
    user = User.objects.filter(role=role).first()
    browser = Client()
    browser.force_login(user)
    browser.cookies[tablets.COOKIE] = tablet_cookie(user)
    wrong, said = [], contacts()
    assert len(said) > 20
    looked_at = 0
    for path in sorted(kept_paths()):
        answer = browser.get(path)
        if answer.status_code != 200 or "no-store" in answer.headers.get("Cache-Control", ""):
            continue
        looked_at += 1
        page = LINKS.sub("", answer.content.decode())
        wrong += [(path, found[0]) for found in [MONEY.search(page)] if found]
        wrong += [(path, contact) for contact in said if contact in page]
    assert looked_at > 50
    assert wrong == []


def test_the_call_link_of_the_day_is_kept(worked):
    """The one contact a tablet holds: in a link, never as text."""
    rider = Entry.objects.first().rider
    rider.phone = "+353 1 555 0188"
    rider.save()
    browser = Client()
    browser.force_login(User.objects.filter(role=Role.HELPER).first())
    entry = rider.entries.select_related("trackday").first()
    page = browser.get(f"/day/{entry.trackday_id}/bikes/{entry.pk}/").content.decode()
    assert f'href="tel:{rider.phone}"' in page
    assert rider.phone not in LINKS.sub("", page)
