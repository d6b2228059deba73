"""The office's and the customer's pages: no violation axe knows, nothing wider than the screen."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from jobs.desk.demo.business import PASSWORD
from jobs.desk.link_mail import link_url
from jobs.people.models import Customer
from jobs.trackday.models import Entry

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = (
    "/desk/", "/desk/days/{day}/", "/desk/days/{day}/edit/", "/desk/days/{day}/import/entries/",
    "/desk/days/{day}/entries/new/", "/desk/entries/{entry}/", "/desk/customers/",
    "/desk/customers/{customer}/", "/desk/customers/{customer}/edit/", "/desk/crew/",
    "/desk/devices/", "/desk/mail/", "/desk/business/", "/desk/edits/",
)  # fmt: skip
PORTAL = ("/my/everything/", "/my/bikes/{bike}/", "/my/days/{entry}/")


@pytest.fixture
def ids(live_server, settings, demo, played):
    settings.PUBLIC_URL = live_server.url
    trackday = played("morning")
    entry = Entry.objects.select_related("bike").get(ref="FH-02")
    return {
        "day": trackday.pk, "entry": entry.pk, "bike": entry.bike_id,
        "customer": entry.bike.owner_id,
    }  # fmt: skip


def faults(page, path):
    """What axe finds on a page, and whether it is wider than the screen."""
    page.goto(path)
    violations = Axe().run(page).response["violations"]
    found = [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in violations]
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found.append("wider than the screen")
    return [(path, fault) for fault in found]


def test_no_page_has_a_fault_axe_knows_or_is_wider_than_the_screen(person, live_server, ids):
    office, customer = person("roan", PASSWORD, size="laptop"), person(size="phone")
    customer.goto(link_url(Customer.objects.get(pk=ids["customer"])))
    customer.get_by_role("button", name="Open my pages").click()
    customer.wait_for_url("**/my/bikes/**")
    found = []
    for page, paths, theme in ((office, DESK, "night"), (customer, PORTAL, "sun")):
        page.context.add_cookies([{"name": "theme", "value": theme, "url": live_server.url}])
        found += [fault for path in paths for fault in faults(page, path.format(**ids))]
    office.set_viewport_size({"width": 390, "height": 844})
    found += [fault for path in DESK[:6] for fault in faults(office, path.format(**ids))]
    assert found == []
