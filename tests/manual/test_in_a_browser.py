"""The "?" tapped on a phone, and the picture in the theme its reader chose."""

import re

import pytest

from jobs.manual.screens import MANUALS

from ..pictures import FOLDER, PICTURES, THEMES

LOADED = "image => image.complete && image.naturalWidth"


def test_every_picture_is_there_in_each_theme_and_all_of_them_are_small():
    shown = {one.picture for manual in MANUALS.values() for one in manual.paragraphs if one.picture}
    assert shown == {picture.name for picture in PICTURES}
    sizes = {path.name: path.stat().st_size for path in FOLDER.glob("*.webp")}
    assert set(sizes) == {f"{name}-{theme}.webp" for name in shown for theme in THEMES}
    assert sum(sizes.values()) < 600_000


@pytest.mark.browser
@pytest.mark.display
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("theme", THEMES)
def test_the_sign_opens_the_paragraph_with_the_picture_of_ones_theme(phone, theme):
    phone.theme(theme)
    phone.open("/desk/")
    phone.tap(".to-manual")
    phone.page.wait_for_url("**/manual/office/#desk")
    paragraph = phone.page.locator("#desk")
    assert -1 <= paragraph.bounding_box()["y"] < 100
    picture = paragraph.locator("img")
    picture.scroll_into_view_if_needed()
    phone.page.wait_for_function(LOADED, arg=picture.element_handle())
    assert re.search(rf"/desk-{theme}\.\S*webp", picture.evaluate("image => image.currentSrc"))


@pytest.mark.browser
@pytest.mark.display
@pytest.mark.django_db(transaction=True)
def test_without_a_chosen_theme_the_picture_follows_the_device(phone):
    phone.page.emulate_media(color_scheme="dark")
    phone.open("/manual/office/#desk")
    picture = phone.page.locator("#desk img")
    picture.scroll_into_view_if_needed()
    phone.page.wait_for_function(LOADED, arg=picture.element_handle())
    assert re.search(r"/desk-night\.\S*webp", picture.evaluate("image => image.currentSrc"))
