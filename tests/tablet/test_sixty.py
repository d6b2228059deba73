"""A whole day of sixty bikes, kept ahead for hours without network."""

import pytest
from playwright.sync_api import expect

from tests.setups.writing import rear_rebound

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
]


@pytest.mark.parametrize("bikes", [60])
def test_board_round_and_sixty_sheets_open_without_network(tablet, day, cast):
    tablet.sign_in(cast.tuner)
    tablet.wait_controlled()
    tablet.wait_day_kept()
    tablet.wire.cut()
    for path in ("/day/", "/round/"):
        tablet.open(path)
        tablet.page.reload()
        expect(tablet.page.locator(".age")).to_contain_text("later holds unknown")
    sheets = [f"/bikes/{entry.pk}/" for entry in day.entries]
    found = tablet.run(
        """(paths) => Promise.all(paths.map(async (path) => {
             const answer = await fetch(path);
             return (await answer.text()).match(/Corrib R\\d+/)?.[0]; }))""",
        sheets,
    )
    assert found == [f"Corrib R{n}" for n in range(1, 61)]
    last = day.entries[-1]
    tablet.open(sheets[-1])
    tablet.page.reload()
    tablet.page.click(f"#adjuster-{rear_rebound(last).pk}")
    expect(tablet.page.locator("#panel h2").first).to_contain_text("Rear rebound")
    tablet.page.click("summary:has-text('Read')")
    tablet.page.click("a:has-text('Tyre pressure')")
    expect(tablet.page.locator("#panel input[name=rear-pressure]")).to_be_visible()
