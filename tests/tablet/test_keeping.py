"""Keeping the day's pages while somebody works, who leaves every page soon."""

import pytest

from .conftest import CONTROLLED, held

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]


def test_the_next_page_continues_fetching_where_the_last_one_stopped(tablet, day, cast):
    fetched: list[str] = []

    def note(request):
        if "x-keep" in request.headers:
            fetched.append(f"{request.url} {request.headers.get('hx-request', '')}")

    tablet.page.on("requestfinished", note)
    tablet.sign_in(cast.tuner)
    tablet.wait_controlled()
    left_after = (4, 8, 12)  # fetched: in the middle of it, three times
    for enough in left_after:
        while len(fetched) < enough:
            tablet.page.wait_for_event("requestfinished")
        tablet.page.reload()
    tablet.wait_day_kept()
    kept = tablet.run(
        """async () => { const pages = [];
             for (const name of await caches.keys())
               for (const { url } of await (await caches.open(name)).keys()) pages.push(url);
             return pages; }"""
    )
    assert {f"{tablet.origin}/bikes/{entry.pk}/" for entry in day.entries} < set(kept)
    again = len(fetched) - len(set(fetched))
    assert again <= len(left_after)  # at most what was under way; from the start it were 24


def test_a_service_worker_that_did_not_arrive_is_registered_again(tablet, cast):
    """On every page the first asking fails; the page goes on with its work, and asks again."""
    tablet.page.add_init_script(
        """const register = navigator.serviceWorker.register.bind(navigator.serviceWorker);
           let asked = 0;
           navigator.serviceWorker.register = (...address) =>
             asked++ ? register(...address) : Promise.reject(new TypeError("no network"));"""
    )
    tablet.sign_in(cast.tuner)
    tablet.page.wait_for_function(CONTROLLED, timeout=180_000)  # on this very page


def test_a_page_that_opened_without_its_service_worker_is_taken_over(tablet, day, cast):
    """As one does whose load began before the worker was active; here it is loaded past it."""
    tablet.sign_in(cast.tuner)
    tablet.wait_controlled()
    session = tablet.context.new_cdp_session(tablet.page)
    session.send("Page.reload", {"ignoreCache": True})
    tablet.page.wait_for_function("() => document.querySelector('.tabletbar')")
    tablet.page.wait_for_function(CONTROLLED, timeout=60_000)


def test_kept_acts_are_sent_without_a_service_worker(tablet, day, cast):
    tablet.page.add_init_script("navigator.serviceWorker.register = () => new Promise(() => {});")
    tablet.sign_in(cast.helper)
    tablet.open(f"/bikes/{day.entries[0].pk}/")
    tablet.page.get_by_text("0 unsent").wait_for()
    tablet.wire.refuse_posts = True
    tablet.hold_offline(day.entries[0], "caliper loose")
    tablet.open("/round/")
    tablet.wire.refuse_posts = False
    tablet.wait_sent()
    assert held() == ["caliper loose"]
