"""Photos: only their pixels are kept, once, and bad files are refused in words."""

import io
import re
import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import Http404
from PIL import Image, ImageFile

from jobs.files import pictures, services
from jobs.files.models import Photo
from jobs.files.responses import photo_response
from tests.photos import photo_kept

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F  # Exif 2.3, tags of IFD0


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def upload(image: Image.Image, kind: str = "JPEG", **options) -> SimpleUploadedFile:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return SimpleUploadedFile("IMG_0001.jpg", out.getvalue())


def telltale() -> SimpleUploadedFile:
    """A picture lying on its side that says where and with what it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif[MAKER] = "Secretcam"
    exif.get_ifd(GPS)[1] = "N"
    picture = Image.new("RGB", (300, 100), "teal")
    return upload(picture, exif=exif, comment=b"hidden words")


@pytest.mark.django_db
def test_only_the_pixels_are_kept_and_upright():
    photo = photo_kept(photo_id=uuid.uuid4(), upload=telltale())
    for name in (photo.picture.name, photo.small.name):
        with default_storage.open(name) as file:
            data = file.read()
        kept = Image.open(io.BytesIO(data))
        assert (kept.format, kept.size, dict(kept.getexif())) == ("JPEG", (100, 300), {})
        assert not re.search(rb"Exif|Secretcam|hidden words", data)
    assert (photo.width, photo.height) == (100, 300)


@pytest.mark.django_db
def test_the_same_id_again_is_the_same_photo():
    photo_id = uuid.uuid4()
    first = photo_kept(photo_id=photo_id, upload=telltale())
    again = photo_kept(photo_id=photo_id, upload=telltale())
    assert (first.picture.name, Photo.objects.count()) == (again.picture.name, 1)


@pytest.mark.django_db
def test_large_pictures_are_made_smaller_and_transparency_becomes_white():
    see_through = Image.new("RGBA", (4000, 1000), (0, 0, 0, 0))
    photo = photo_kept(photo_id=uuid.uuid4(), upload=upload(see_through, "PNG"))
    assert (photo.width, photo.height) == (2000, 500)
    with default_storage.open(photo.small.name) as file:
        small = Image.open(file)
        assert small.size == (480, 120)
        assert small.getpixel((1, 1)) == (255, 255, 255)


def test_what_is_no_picture_is_refused():
    with pytest.raises(ValidationError, match="no JPEG, PNG or WebP"):
        pictures.reencode(io.BytesIO(b"<svg onload='alert(1)'/>"), 24)
    with pytest.raises(ValidationError, match="no JPEG, PNG or WebP"):
        pictures.reencode(upload(Image.new("RGB", (2, 2)), "GIF"), 100)


def test_a_damaged_picture_is_refused():
    whole = upload(Image.effect_noise((400, 400), 90).convert("RGB")).read()
    with pytest.raises(ValidationError, match="damaged"):
        pictures.reencode(io.BytesIO(whole[: len(whole) // 2]), len(whole))


def test_too_many_bytes_or_pixels_are_refused(monkeypatch):
    with pytest.raises(ValidationError, match="20 MB at most"):
        pictures.reencode(io.BytesIO(b""), pictures.LARGEST_BYTES + 1)
    named = {"JPEG": 50, "PNG": 16, "WEBP": 10}
    files = {kind: upload(Image.new("RGB", (most + 1, 1)), kind) for kind, most in named.items()}
    monkeypatch.setattr(pictures, "MEGA", 1)  # so that few pixels are too many
    monkeypatch.setattr(pictures.Image.Image, "load", _not_to_be_decoded)
    for kind, most in named.items():
        with pytest.raises(ValidationError, match=f"{most} megapixels at most as {kind}"):
            pictures.reencode(files[kind], 100)


def _not_to_be_decoded(image):
    raise AssertionError("decoded")


@pytest.mark.parametrize(("kind", "most"), [("JPEG", 2600 * 1900), ("PNG", 5200 * 3800)])
def test_a_large_jpeg_is_decoded_at_a_fraction_of_its_pixels(kind, most, monkeypatch):
    """A photo of 20 megapixels of which 2000 pixels a side are kept."""
    file = upload(Image.new("RGB", (5200, 3800), "teal"), kind)
    decoded = []
    load = ImageFile.ImageFile.load
    monkeypatch.setattr(
        ImageFile.ImageFile,
        "load",
        lambda image: (decoded.append(image.width * image.height), load(image))[1],
    )
    monkeypatch.setitem(pictures.MOST_MEGAPIXELS, "PNG", 50)
    kept = pictures.reencode(file, 100)
    assert max(kept.width, kept.height) == pictures.PICTURE_PX
    assert max(decoded) <= most


def test_pictures_are_decoded_one_at_a_time(monkeypatch):
    at_once, most = [], []
    decoded = pictures._decoded

    def counted(file):
        at_once.append(file)
        most.append(len(at_once))
        image = decoded(file)
        at_once.remove(file)
        return image

    monkeypatch.setattr(pictures, "_decoded", counted)
    files = [upload(Image.new("RGB", (600, 400))) for _number in range(8)]
    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(lambda file: pictures.reencode(file, 100), files))
    assert (len(found), max(most)) == (8, 1)


@pytest.mark.django_db
def test_a_photo_may_be_cached_by_one_browser_only():
    photo = photo_kept(photo_id=uuid.uuid4(), upload=telltale())
    response = photo_response(photo, small=True)
    assert response.headers["Content-Type"] == "image/jpeg"
    assert response.headers["Cache-Control"].startswith("private")
    assert b"".join(response.streaming_content).startswith(b"\xff\xd8")
    response.close()


@pytest.mark.django_db(transaction=True)
def test_the_files_of_a_removed_photo_are_removed():
    photo = photo_kept(photo_id=uuid.uuid4(), upload=telltale())
    services.photo_empty(photo=photo)
    assert not default_storage.exists(photo.picture.name)
    assert not default_storage.exists(photo.small.name)
    with pytest.raises(Http404):
        photo_response(photo)


@pytest.mark.django_db(transaction=True)
def test_a_removed_photo_sent_again_is_not_stored_again():
    photo = photo_kept(photo_id=uuid.uuid4(), upload=telltale())
    services.photo_empty(photo=photo)
    again = photo_kept(photo_id=photo.pk, upload=telltale())
    assert (again.picture.name, again.small.name) == ("", "")
    assert not default_storage.exists(photo.picture.name)
    with pytest.raises(Http404):
        photo_response(again)


@pytest.mark.django_db
def test_what_is_held_is_only_looked_at_by_its_head(monkeypatch):
    monkeypatch.setattr(pictures, "_decoded", _not_to_be_decoded)
    photo, is_new = services.photo_hold(photo_id=uuid.uuid4(), upload=telltale())
    assert (is_new, photo.waits, photo.instead) == (True, True, "The photo is being prepared.")
    again, is_new = services.photo_hold(photo_id=photo.pk, upload=telltale())
    assert (is_new, again.raw.name) == (False, photo.raw.name)
    with pytest.raises(ValidationError, match="no JPEG, PNG or WebP"):
        services.photo_hold(photo_id=uuid.uuid4(), upload=SimpleUploadedFile("a.jpg", b"words"))
    assert Photo.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_file_as_sent_is_removed_once_it_is_decoded():
    photo, _is_new = services.photo_hold(photo_id=uuid.uuid4(), upload=telltale())
    services.photo_decode(photo_id=photo.pk)()
    assert not default_storage.exists(photo.raw.name)
    assert services.photo_decode(photo_id=photo.pk) is None


@pytest.mark.django_db(transaction=True)
def test_a_worker_that_dies_in_the_middle_leaves_the_same_files():
    photo, _is_new = services.photo_hold(photo_id=uuid.uuid4(), upload=telltale())
    services.photo_decode(photo_id=photo.pk)  # files written, row not
    services.photo_decode(photo_id=photo.pk)()
    kept = Photo.objects.get(pk=photo.pk)
    folder = kept.picture.name.rpartition("/")[0]
    assert set(default_storage.listdir(folder)[1]) == {f"{photo.pk}.jpg", f"{photo.pk}-small.jpg"}


@pytest.mark.django_db(transaction=True)
def test_a_photo_removed_while_it_was_decoded_leaves_no_file():
    photo, _is_new = services.photo_hold(photo_id=uuid.uuid4(), upload=telltale())
    keep = services.photo_decode(photo_id=photo.pk)
    services.photo_empty(photo=photo)
    keep()
    kept = Photo.objects.get(pk=photo.pk)
    assert (kept.raw.name, kept.picture.name, kept.instead) == ("", "", "The photo was removed.")
    assert default_storage.listdir("photos/as-sent")[1] == []
    folder = f"photos/{kept.created_at:%Y/%m}"
    assert default_storage.listdir(folder)[1] == []
