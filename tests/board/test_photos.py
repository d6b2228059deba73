"""Photos: re-encoded, position taken out, before beside after, never for a stranger."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from jobs.files.models import Photo
from jobs.setups.models import BikePhoto

from ..acts.doing import clock_set
from ..days import day_build, local
from ..photos import photos_prepare
from ..setups.writing import arrive

pytestmark = pytest.mark.django_db

GPS = 0x8825


@pytest.fixture
def entry(cast):
    return day_build(bikes=2).entries[0]


@pytest.fixture
def browser(signed_in, helper):
    return signed_in(helper)


def upload() -> SimpleUploadedFile:
    """A JPEG that says where it was taken."""
    picture, file = Image.new("RGB", (400, 300), "grey"), io.BytesIO()
    exif = picture.getexif()
    exif.get_ifd(GPS)[1] = "N"
    picture.save(file, "JPEG", exif=exif)
    return SimpleUploadedFile("tyre.jpg", file.getvalue(), "image/jpeg")


def send(browser, entry, **form):
    """A photo is sent; what is answered before it is decoded."""
    address = reverse("board:sheet-photos", args=[entry.pk])
    return browser.post(address, {"photo": upload(), **form}, follow=True).content.decode()


def take(browser, entry, **form):
    """A photo is sent, and decoded by the worker."""
    said = send(browser, entry, **form)
    photos_prepare()
    return said


def shown(browser, entry):
    return browser.get(reverse("board:sheet-photos", args=[entry.pk])).content.decode()


def test_a_photo_of_a_tyre_stands_beside_the_one_before(browser, entry):
    for _turn in range(2):
        take(browser, entry, subject="tyre", end="rear", place="left")
    page = shown(browser, entry)
    assert page.count('alt="tyre rear left') == 2
    assert page.count("<h3>") == 1


def test_photos_are_lines_of_the_day_by_session_and_open(browser, helper, entry):
    arrive(helper, entry)
    clock_set(entry.trackday, local(9, 25))
    take(browser, entry, subject="tyre", end="rear", place="left", words="cold tear")
    row = BikePhoto.objects.get()
    sheet = browser.get(reverse("board:sheet", args=[entry.pk])).content.decode()
    chapter = sheet[sheet.index("<h3>Session 1</h3>") :]
    assert "Photo: tyre rear left." in chapter
    assert "cold tear" in chapter
    whole = reverse("board:photo", args=[row.pk, "whole"])
    assert f'href="{whole}"' in chapter
    picture = browser.get(whole)
    assert picture["Content-Type"] == "image/jpeg"
    assert b"".join(picture.streaming_content).startswith(b"\xff\xd8")  # JPEG, ISO 10918-1
    picture.close()
    assert reverse("board:photo", args=[row.pk, "small"]) in chapter


def test_a_photo_of_the_wrong_bike_is_moved_and_stays_struck_through(browser, helper):
    wrong, right = day_build(bikes=2).entries
    take(browser, wrong, subject="tyre", end="rear")
    row = BikePhoto.objects.get()
    assert (
        "Belongs to another bike"
        in browser.get(reverse("board:sheet", args=[wrong.pk])).content.decode()
    )
    assert browser.get(reverse("board:sheet-move", args=[wrong.pk, row.pk])).status_code == 200
    url = reverse("board:sheet-act", args=[wrong.pk, "move"])
    browser.post(url, {"row": str(row.pk), "to": right.pk})
    moved = BikePhoto.objects.get(entry=right)
    assert (moved.moved_from, moved.bike) == (row, right.bike)
    struck = browser.get(reverse("board:sheet", args=[wrong.pk])).content.decode()
    assert 'class="photo struck"' in struck


def test_the_act_is_accepted_before_the_photo_is_decoded(browser, entry):
    """Until then a sentence stands in its place, and the part of the page renews itself."""
    page = send(browser, entry, subject="bike")
    row = BikePhoto.objects.select_related("photo").get()
    assert row.photo.waits
    assert "Photo kept" in page
    assert "1 photo is being prepared" in page
    assert 'hx-trigger="every 2s"' in page
    small = reverse("board:photo", args=[row.pk, "small"])
    assert small not in page
    early = browser.get(small)
    assert (early.status_code, early["Cache-Control"]) == (202, "no-store")
    assert (early["Retry-After"], early["Refresh"]) == ("2", "2")
    assert early.content == b"The photo is being prepared."

    entry.trackday.refresh_from_db()
    revision = entry.trackday.revision
    assert photos_prepare() == 1
    entry.trackday.refresh_from_db()
    assert entry.trackday.revision == revision + 1  # open pages fetch themselves anew
    part = browser.get(
        reverse("board:sheet-photos", args=[entry.pk]), headers={"HX-Request": "true"}
    ).content.decode()
    assert small in part
    assert "hx-trigger" not in part
    assert "<html" not in part


def test_a_damaged_photo_is_said_where_it_would_be_and_is_not_tried_again(browser, entry):
    whole = upload().read()
    torn = SimpleUploadedFile("torn.jpg", whole[: len(whole) // 2], "image/jpeg")
    send(browser, entry, photo=torn, subject="bike")
    assert photos_prepare() == 1
    page = shown(browser, entry)
    assert "This picture is damaged and cannot be read." in page
    assert "being prepared" not in page
    photo = Photo.objects.get()
    assert (photo.raw.name, photo.picture.name) == ("", "")
    assert photos_prepare() == 0


def test_the_file_kept_does_not_say_where_it_was_taken(browser, entry):
    take(browser, entry, subject="bike")
    with Photo.objects.get().picture.open("rb") as file:
        assert not Image.open(file).getexif()


def test_the_bikes_own_photo_is_on_every_screen_that_writes(browser, entry):
    take(browser, entry, subject="bike")
    row = BikePhoto.objects.get()
    address = reverse("board:photo", args=[row.pk, "small"])
    assert address in browser.get(reverse("board:sheet", args=[entry.pk])).content.decode()
    response = browser.get(address)
    with Image.open(io.BytesIO(b"".join(response.streaming_content))) as picture:
        assert picture.format == "JPEG"
    response.close()


def test_a_photo_is_not_for_customers(browser, signed_in, customer_a, entry):
    take(browser, entry, subject="bike")
    address = reverse("board:photo", args=[BikePhoto.objects.get().pk, "whole"])
    assert signed_in(customer_a).get(address).status_code == 403


def test_which_tyre_is_asked_for(browser, entry):
    assert "front or rear" in take(browser, entry, subject="tyre")
    assert BikePhoto.objects.count() == 0


def test_the_same_act_again_keeps_one_file(browser, entry):
    for _turn in range(2):
        take(browser, entry, subject="bike", act_id="7d0c2f0e-8d0f-4b53-9c63-3d5e0a1b2c3d")
    assert (Photo.objects.count(), BikePhoto.objects.count()) == (1, 1)


def test_no_picture_is_said_in_words(browser, entry):
    address = reverse("board:sheet-photos", args=[entry.pk])
    file = SimpleUploadedFile("a.jpg", b"no picture", "image/jpeg")
    page = browser.post(address, {"photo": file, "subject": "bike"}, follow=True).content.decode()
    assert 'class="notice error"' in page
    assert Photo.objects.count() == 0
