"""A tablet's life: enrolled by a code, passed from hand to hand, lost, and wiped."""

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, expect

from jobs.acts import tablets
from jobs.people import devices
from jobs.people.models import Device
from jobs.worklist.models import Hold
from tests.browsing import sign_in
from tests.klm import Gestures
from tests.outbox.processes import until
from tests.tablet.conftest import Tablet, hold_raise

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def desk(chromium: Browser, served, cast):
    """The tuner at the laptop."""
    origin = f"http://127.0.0.1:{served.port}"
    context = chromium.new_context(base_url=origin, viewport={"width": 1440, "height": 900})
    context.set_default_timeout(20_000)
    sign_in(context, origin, cast.tuner)
    page = context.new_page()
    page.goto(reverse("desk:home"))
    return page


def test_the_desk_hands_out_a_code_and_a_pin_and_the_tablet_is_one_of_ours(
    desk, day, cast, wire, context
):
    desk.get_by_role("link", name="Devices").click()
    desk.get_by_role("link", name="Enrol a tablet").click()
    desk.get_by_label("What the tablet is called").fill("yellow")
    desk.get_by_role("button", name="Show the code").click()
    code = desk.locator(".bigcode").inner_text()
    desk.goto(reverse("desk:crew"))
    desk.get_by_role("link", name="PINs for tablets").click()
    row = desk.locator("form", has_text="Hal")
    row.locator("[name=pin]").fill("8052")
    row.get_by_role("button", name="Set").click()
    expect(desk.locator("#notices")).to_contain_text("Hal has a new PIN.")

    tablet = Tablet(context, context.new_page(), f"http://127.0.0.1:{wire.port}", wire)
    tablet.open(reverse("tablet:home"))
    tablet.page.get_by_label("Code").fill(code)
    tablet.page.get_by_role("button", name="Enrol this tablet").click()
    expect(tablet.page.locator("h1")).to_have_text("yellow")
    tablet.page.get_by_role("button", name="Hal").click()
    for digit in "8052":
        tablet.page.locator(f'[data-digit="{digit}"]').click()
    tablet.page.get_by_role("button", name="Take the tablet").click()
    tablet.page.wait_for_url(lambda url: not url.endswith("/tablet/"))
    expect(tablet.page.locator(".tabletbar")).to_contain_text("Hal")
    desk.goto(reverse("desk:devices"))
    expect(desk.locator(".rows")).to_contain_text("last seen")


@pytest.mark.parametrize("network", ["there", "gone"])
def test_somebody_who_signed_in_today_takes_the_tablet_in_two_taps(tablet, day, cast, network):
    hands = Gestures(tablet.page)
    for user in (cast.tuner, cast.helper):
        tablet.sign_in(user)
    tablet.open(f"/bikes/{day.entries[0].pk}/")
    tablet.wait_controlled()
    expect(tablet.page.locator(".tabletbar")).to_contain_text("Hal")
    if network == "gone":
        tablet.wire.cut()
    hands.start()
    tablet.page.locator(".tabletbar a").click()
    tablet.page.locator(f'button[data-person="{cast.tuner.pk}"]').click()
    expect(tablet.page.locator(".tabletbar")).to_contain_text("Tess")
    if network == "there":
        tablet.page.wait_for_url(lambda url: not url.endswith("/tablet/"))
    assert hands.made().taps == 2
    tablet.open(f"/bikes/{day.entries[0].pk}/")
    expect(tablet.page.locator(".tabletbar")).to_contain_text("Tess")
    tablet.wire.mend()
    until(lambda: signed_in_as(tablet) == "Tess")


def signed_in_as(tablet: Tablet) -> str:
    """Whom the server takes this browser for."""
    said = tablet.page.request.get(tablet.origin + reverse("tablet:hello")).json()
    return said["user"]["name"] if said["user"] else ""


def held() -> list[str]:
    return list(Hold.objects.values_list("words", flat=True))


def left_on(tablet: Tablet) -> dict:
    """What a thief would find in the browser: acts, passes and pages of the day."""
    return tablet.page.evaluate(
        """async () => {
            const store = await import("/static/tablet/store.js");
            const names = (await caches.keys()).filter((name) => name.startsWith("day-"));
            const pagesOf = async (name) => (await caches.open(name)).keys();
            const days = await Promise.all(names.map(pagesOf));
            return {
                acts: (await store.kept()).length,
                people: await store.noted("people"),
                pages: days.flat().length,
            };
        }"""
    )


@pytest.mark.parametrize("contact", ["opens a page", "lies there switched on"])
def test_a_lost_tablet_is_wiped_at_its_next_contact_and_what_it_sent_stays(
    tablet, desk, day, cast, contact
):
    tablet.sign_in(cast.helper)
    sheet = f"/bikes/{day.entries[0].pk}/"
    tablet.open(sheet)
    tablet.wait_controlled()
    hold_raise(tablet, "oil on the disc")
    until(lambda: held() == ["oil on the disc"])
    tablet.open(sheet)
    session = {c["name"]: c["value"] for c in tablet.context.cookies()}["sessionid"]
    assert left_on(tablet)["people"][0]["name"] == "Hal"
    assert left_on(tablet)["pages"] > 0

    desk.goto(reverse("desk:devices"))
    desk.get_by_role("button", name="Lost: shut it out").click()
    expect(desk.locator(".rows")).to_contain_text("shut out")
    if contact == "opens a page":
        tablet.page.reload()
    else:
        tablet.page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(tablet.page.locator("h1")).to_have_text("This tablet was shut out", timeout=20_000)
    tablet.page.locator("html[data-wiped]").wait_for(state="attached")
    assert left_on(tablet) == {"acts": 0, "people": None, "pages": 0}

    tablet.context.add_cookies([{"name": "sessionid", "value": session, "url": tablet.origin}])
    tablet.open(sheet)
    expect(tablet.page.locator("h1")).to_have_text("This tablet was shut out")
    assert held() == ["oil on the disc"]
    assert Hold.objects.get().raised_by == cast.helper
    assert Device.objects.get().shut_out_at is not None


def test_a_lost_tablet_without_its_cookie_is_still_recognised(cast, signed_in):
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    browser = signed_in(cast.helper)
    browser.cookies[tablets.COOKIE] = f"{device.pk}.{secret}"
    assert browser.get(reverse("board:today")).status_code == 200
    Device.objects.filter(pk=device.pk).update(shut_out_at="2026-06-13T12:00Z")
    del browser.cookies[tablets.COOKIE]
    page = browser.get(reverse("board:today"), headers={"Accept": "text/html"})
    assert page.status_code == 410
    assert page.headers["Clear-Site-Data"] == '"cache", "storage"'
    assert browser.get(reverse("board:today")).status_code == 302


def test_a_late_answer_of_the_old_session_does_not_end_the_new_one(cast, signed_in):
    """A request of the old session, answered after the tablet was passed on."""
    _, code = devices.device_prepare(name="yellow", by=cast.tuner)
    device, secret = devices.device_enrol(code=code, where_from="tests")
    devices.pin_set(user=cast.helper, pin="4711")
    tablet = signed_in(cast.tuner)
    tablet.cookies[tablets.COOKIE] = f"{device.pk}.{secret}"
    late = Client()
    for name, morsel in tablet.cookies.items():
        late.cookies[name] = morsel.value
    token = devices.pass_make(user=cast.helper, device=device)
    assert tablet.post(reverse("tablet:switch"), {"pass": token}).json()["name"] == "Hal"
    answer = late.get(reverse("tablet:hello"))
    assert answer.json()["user"] is None
    assert "sessionid" not in answer.cookies
