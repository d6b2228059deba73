import uuid
from functools import partial

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from .models import Photo
from .pictures import Pictures, check, reencode


def photo_hold(*, photo_id: uuid.UUID, upload: UploadedFile[bytes]) -> tuple[Photo, bool]:
    """Hold a photo as it was sent, under the id its device gave it, to be decoded later.

    Returns it and whether it is new: the same id again is the same photo. Only the head of the
    file is read. Raises ValidationError in words for a file that is no picture or too large.
    """
    earlier = Photo.objects.filter(pk=photo_id).first()
    if earlier is not None:
        return earlier, False
    check(upload, upload.size or 0)
    upload.seek(0)
    photo = Photo(pk=photo_id)
    photo.raw.save(str(photo_id), upload, save=False)
    kept, created = Photo.objects.get_or_create(
        pk=photo_id, defaults={"raw": photo.raw.name, "width": 0, "height": 0}
    )
    if not created:  # another request held it meanwhile
        _remove([str(photo.raw.name)])
    return kept, created


def photo_decode(*, photo_id: uuid.UUID) -> partial[None] | None:
    """Decode a photo that is held. Returns what writes that into its row; None: nothing to do.

    Doing it twice leaves the same files.
    """
    photo = Photo.objects.filter(pk=photo_id).first()
    if photo is None or not photo.waits:
        return None
    raw = str(photo.raw.name)
    try:
        with photo.raw.open("rb") as file:
            pictures = reencode(file, photo.raw.size)
    except FileNotFoundError:
        return None  # another worker has just decoded it, or it was removed
    except ValidationError as error:
        return partial(_fault_keep, photo_id, " ".join(error.messages), raw)
    return partial(_pictures_keep, photo_id, _written(photo, pictures), pictures, raw)


def _written(photo: Photo, pictures: Pictures) -> dict[str, str]:
    folder = f"photos/{photo.created_at:%Y/%m}"
    names = {"picture": f"{folder}/{photo.pk}.jpg", "small": f"{folder}/{photo.pk}-small.jpg"}
    for column, name in names.items():
        default_storage.delete(name)  # of a try that died
        default_storage.save(name, ContentFile(getattr(pictures, column)))
    return names


def _pictures_keep(
    photo_id: uuid.UUID, names: dict[str, str], pictures: Pictures, raw: str
) -> None:
    waits = Photo.objects.filter(pk=photo_id, raw=raw)
    kept = waits.update(raw="", width=pictures.width, height=pictures.height, **names)
    gone = [raw] if kept else list(names.values())  # emptied meanwhile: nothing of it stays
    transaction.on_commit(partial(_remove, gone))


def _fault_keep(photo_id: uuid.UUID, words: str, raw: str) -> None:
    Photo.objects.filter(pk=photo_id, raw=raw).update(raw="", fault=words[:200])
    transaction.on_commit(partial(_remove, [raw]))


def photo_empty(*, photo: Photo) -> None:
    """Remove the files of a photo once that is committed, and the sizes from its row.

    Its row stays: a device that sends the photo again under its id does not bring it back.
    """
    Photo.objects.filter(pk=photo.pk).update(picture="", small="", raw="", width=0, height=0)
    names = [file.name for file in (photo.picture, photo.small, photo.raw) if file.name]
    transaction.on_commit(partial(_remove, names))


def photo_drop(*, photo_id: uuid.UUID) -> bool:
    """Remove a photo that nothing shows, its row too. False: it was emptied, and its row stays.

    Raises ProtectedError if something has come to show it.
    """
    with transaction.atomic():
        photo = Photo.objects.select_for_update(no_key=True).filter(pk=photo_id).first()
        if photo is None:
            return False
        names = [str(file.name) for file in (photo.picture, photo.small, photo.raw) if file.name]
        if not names:
            return False
        photo.delete()
        transaction.on_commit(partial(_remove, names))
    return True


def _remove(names: list[str]) -> None:
    for name in names:
        default_storage.delete(name)
