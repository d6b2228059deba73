"""The bike sheet on a phone, as a gloved thumb meets it; every tap is counted."""

from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from pypdf import PdfReader

from jobs.garage import services as garage
from jobs.setups import selectors
from jobs.setups.models import Adjustment
from tests.days import day_build
from tests.setups.writing import change, count, rear_rebound, stands_at

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def entries(transactional_db, cast):
    return day_build(bikes=5).entries


def address(entry, name="sheet", *more):
    return reverse(f"board:{name}", args=[entry.pk, *more])


def wait_for(phone, words):
    phone.page.wait_for_selector(f"#notices >> text={words}")


def test_a_change_in_three_taps(phone, entries, tuner):
    entry = entries[0]
    count(tuner, entry, 14)
    phone.open(address(entry))
    phone.tap(f"#adjuster-{rear_rebound(entry).pk}")
    phone.tap("label.pick:has-text('−3')")
    phone.page.wait_for_selector("#preview >> text=3 clicks firmer")
    phone.tap("button:has-text('Changed, read back')")
    wait_for(phone, "Rear rebound from 14 out to 11 out: 3 clicks firmer.")
    assert phone.taps == 3
    row = Adjustment.objects.get(kind="change")
    assert (row.to_position, row.read_back, row.by) == (11, 11, tuner)
    assert "11 out" in phone.page.inner_text(f"#adjuster-{row.adjuster_id}")


def test_a_double_tap_is_one_change(phone, entries, tuner):
    entry = entries[0]
    count(tuner, entry, 14)
    phone.open(address(entry, "sheet-change", rear_rebound(entry).pk))
    phone.tap("label.pick:has-text('−1')")
    phone.page.dblclick("button:has-text('Changed, read back')")
    wait_for(phone, "1 click firmer")
    assert Adjustment.objects.filter(kind="change").count() == 1


def test_a_known_model_from_nothing_to_its_baseline(phone, entries, tuner):
    known, new = entries[0], entries[4]
    garage.sheet_from_bike(bike=known.bike, standards={})
    new.bike.adjusters.all().delete()
    phone.open(address(new))
    phone.tap("text=Set the bike up")
    phone.tap("button:has-text('Corrib R1')")
    phone.page.wait_for_selector(".counts input")
    for n, cell in enumerate(phone.page.query_selector_all(".counts input")):
        cell.fill(str(9 + n))
    phone.tap("button:has-text('Counted')")
    wait_for(phone, "4 adjusters counted.")
    assert phone.taps == 3
    assert [s.position for s in selectors.standings_of_entry(new)] == [9, 10, 11, 12]


def test_a_mix_up_of_look_alikes_found_and_mended(phone, entries, tuner):
    """Group A's first and second bike are of one make and model."""
    wrong, right = entries[0], entries[4]
    right.bike.model = wrong.bike.model
    right.bike.save()
    for entry in (wrong, right):
        count(tuner, entry, 14)
    change(tuner, wrong, 14, 12)
    phone.open(address(wrong))
    assert "Look-alike today" in phone.page.inner_text("header.bike-head")
    phone.tap("li.change summary[aria-label='Mend this entry']")
    phone.tap(f"li.change button:has-text('Belongs to {right.number} A')")
    wait_for(phone, "The move is on record.")
    assert (stands_at(rear_rebound(wrong)), stands_at(rear_rebound(right))) == (14, 12)
    phone.open(address(right))
    assert "from 14 out to 12 out" in phone.page.inner_text(".story")


def test_back_to_as_arrived(phone, entries, tuner):
    entry = entries[0]
    for standing in selectors.standings_of_entry(entry):
        count(tuner, entry, 12, adjuster=standing.adjuster)
    moved = selectors.standings_of_entry(entry)[:2]
    for standing in moved:
        change(tuner, entry, 12, 10, adjuster=standing.adjuster)
    phone.open(address(entry))
    phone.tap("text=Back to as arrived")
    for left in (2, 1):
        phone.page.wait_for_selector(f".way-back >> nth={left - 1}")
        phone.page.wait_for_selector(f".way-back >> nth={left}", state="detached")
        phone.tap("button:has-text('Done, read back') >> nth=0")
    phone.page.wait_for_selector("text=nothing to do")
    assert {s.position for s in selectors.standings_of_entry(entry)} == {Decimal(12)}
    assert all("back to as arrived" in r.reason for r in Adjustment.objects.order_by("-seq")[:2])


def test_a_reading_with_one_thumb(phone, entries):
    entry = entries[0]
    phone.open(address(entry))
    phone.tap("summary:has-text('Read')")
    phone.tap("a:has-text('Tyre pressure') >> nth=-1")
    phone.tap("label.pick:has-text('Off track')")
    phone.page.fill("input[name=rear-pressure]", "32.5")
    phone.tap("button:has-text('Read')")
    wait_for(phone, "Rear tyre pressure: 32.5 psi.")


def serious(phone, name):
    found = Axe().run(phone.page).response["violations"]
    grave = [v for v in found if v["impact"] in ("serious", "critical")]
    return [(name, v["id"], node["html"][:120]) for v in grave for node in v["nodes"]]


@pytest.mark.parametrize("theme", ["paper", "night", "sun"])
def test_nothing_serious_stands_in_anybodys_way(phone, entries, tuner, theme):
    entry = entries[0]
    count(tuner, entry, 14)
    change(tuner, entry, 12, 11)
    phone.context.add_cookies([{"name": "theme", "value": theme, "url": phone.origin}])
    wrong = []
    for name in ("sheet", "sheet-setups", "sheet-baseline", "sheet-fittings", "sheet-photos"):
        phone.open(address(entry, name))
        wrong += serious(phone, name)
        width = phone.page.evaluate("document.documentElement.scrollWidth")
        assert width <= 390, f"{name} is {width} wide"
    phone.open(address(entry, "sheet-change", rear_rebound(entry).pk))
    wrong += serious(phone, "change")
    assert wrong == []


def test_what_is_tapped_trackside_is_large_enough_for_a_glove(phone, entries, tuner):
    entry = entries[0]
    count(tuner, entry, 14)
    phone.open(address(entry, "sheet-change", rear_rebound(entry).pk))
    heights = [b.bounding_box()["height"] for b in phone.page.query_selector_all(".steppers .btn")]
    assert len(heights) == 6
    assert min(heights) >= 60


def test_the_print_is_one_page_of_a4(phone, entries, tuner, tmp_path):
    entry = entries[0]
    for standing in selectors.standings_of_entry(entry):
        count(tuner, entry, 12, adjuster=standing.adjuster)
    phone.open(address(entry, "sheet-print"))
    phone.page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
    pages = PdfReader(tmp_path / "sheet.pdf").pages
    assert len(pages) == 1
    width, height = (round(float(length) * 25.4 / 72) for length in pages[0].mediabox[2:])
    assert (width, height) == (210, 297)  # ISO 216
