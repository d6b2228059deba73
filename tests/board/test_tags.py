"""Tags: printed, read back by another's decoder, opened by a phone; and the number typed."""

import io

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from jobs.trackday.models import Entry
from tests.conftest import PASSWORD
from tests.days import day_build
from tests.queries import page_queries

pytestmark = pytest.mark.django_db(transaction=True)
VAN = "https://van.example"


def tags_url(day) -> str:
    return reverse("board:tags", args=[day.trackday.pk])


def tag_path(entry) -> str:
    return reverse("board:tag", args=[entry.bike_id])


@pytest.mark.browser
def test_every_tag_of_a_printed_sheet_is_read_back_by_another_decoder(phone, settings, tmp_path):
    """zxing-cpp reads the codes off a picture of the page as it is printed."""
    settings.PUBLIC_URL = VAN
    day = day_build(bikes=12)
    phone.open(tags_url(day))
    phone.page.pdf(path=tmp_path / "tags.pdf", prefer_css_page_size=True)
    assert len(PdfReader(tmp_path / "tags.pdf").pages) == 2  # ten on a page
    phone.page.set_viewport_size({"width": 794, "height": 1123})  # A4 at 96 dpi
    phone.page.emulate_media(media="print")
    picture = Image.open(io.BytesIO(phone.page.screenshot(full_page=True)))
    read = {code.text for code in zxingcpp.read_barcodes(picture)}
    assert read == {VAN + tag_path(entry) for entry in day.entries}


@pytest.mark.browser
def test_a_scanned_tag_asks_to_sign_in_and_then_shows_the_bike(phone, cast):
    entry = day_build(bikes=3).entries[1]
    phone.context.clear_cookies()
    phone.open(tag_path(entry))
    assert "Corrib" not in phone.page.content()
    phone.page.fill("#id_username", "helper")
    phone.page.fill("#id_password", PASSWORD)
    phone.page.tap("main form button")
    phone.page.wait_for_selector("h1 >> text=Corrib R2")


def test_a_tag_shows_nothing_to_a_customer_or_a_stranger(cast, signed_in, stranger):
    entry = day_build(bikes=1, customers=[cast.customer_a.customer]).entries[0]
    assert signed_in(cast.customer_a).get(tag_path(entry)).status_code == 403
    asked = stranger.get(tag_path(entry))
    assert asked.url == f"{reverse('signin')}?next={tag_path(entry)}"


def test_a_tag_of_an_earlier_day_opens_the_bike_today(helper, signed_in):
    """The tag stays on the bike; its address is the bike's, not the day's."""
    first, second = day_build(bikes=2), day_build(bikes=1)
    bike = first.entries[1].bike
    browser = signed_in(helper)
    answer = browser.get(tag_path(first.entries[1]))
    assert answer.url == reverse("board:sheet", args=[first.entries[1].pk])
    Entry.objects.filter(pk=second.entries[0].pk).update(bike=bike)
    Entry.objects.filter(trackday=second.trackday).update(trackday=first.trackday)
    opened = browser.get(reverse("board:tag", args=[bike.pk]))
    assert opened.url == reverse("board:sheet", args=[second.entries[0].pk])


@pytest.mark.parametrize("bikes", [1, 30])
def test_a_sheet_of_tags_costs_the_same_at_any_size(bikes, helper, signed_in):
    day = day_build(bikes=bikes)
    assert page_queries(signed_in(helper), tags_url(day)) == 5


def test_codes_that_only_open_on_this_computer_are_said_to(helper, signed_in, settings):
    day = day_build(bikes=1)
    browser = signed_in(helper)
    settings.PUBLIC_URL = "http://127.0.0.1:8000"
    assert "Set PUBLIC_URL" in browser.get(tags_url(day)).content.decode()
    settings.PUBLIC_URL = VAN
    assert "Set PUBLIC_URL" not in browser.get(tags_url(day)).content.decode()


def test_a_tag_is_printed_again_alone(helper, signed_in):
    day = day_build(bikes=3)
    page = signed_in(helper).get(tags_url(day), {"entry": day.entries[2].pk}).content.decode()
    assert page.count('class="tag"') == 1
    assert "Corrib R3" in page
    assert signed_in(helper).get(tags_url(day), {"entry": "x"}).status_code == 404


@pytest.mark.parametrize("typed", ["7", "07", "7 a", "7A", " 7 "])
def test_a_number_typed_opens_the_only_bike_that_has_it(typed, helper, signed_in):
    day = day_build(bikes=3)
    entry = day.entries[0]
    entry.number = "07" if typed != "7A" else "7"
    entry.save()
    answer = signed_in(helper).get(reverse("board:find"), {"number": typed})
    assert answer.url == reverse("board:sheet", args=[entry.pk])


def test_a_number_of_two_bikes_or_of_none_is_said(helper, signed_in):
    day = day_build(bikes=3)
    Entry.objects.filter(pk=day.entries[2].pk).update(number="1")
    browser = signed_in(helper)
    page = browser.get(reverse("board:find"), {"number": "1"}).content.decode()
    assert "More than one bike has it" in page
    assert page.count("data-number") == 2
    assert browser.get(reverse("board:find"), {"number": "1C"}).status_code == 302
    assert "No bike of the day has this" in str(
        browser.get(reverse("board:find"), {"number": "99"}).content
    )


@pytest.mark.browser
def test_a_number_is_two_gestures_and_its_keys_from_the_board(phone):
    day = day_build(bikes=12)
    phone.open(reverse("board:day", args=[day.trackday.pk]))
    phone.page.tap("#jump-number")
    phone.page.keyboard.type("11")
    phone.page.keyboard.press("Enter")
    phone.page.wait_for_url(f"**{reverse('board:sheet', args=[day.entries[10].pk])}")
    phone.open(reverse("board:find"))
    phone.page.fill("#jump-number", "99")
    phone.page.keyboard.press("Enter")
    phone.page.get_by_text("No bike of the day has this number").wait_for()
    assert phone.page.locator("#bikes li:visible").count() == 0
