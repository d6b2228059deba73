import uuid

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from .models import Photo
from .pictures import reencode


def photo_store(*, photo_id: uuid.UUID, upload: UploadedFile[bytes]) -> Photo:
    """Keep a photo under the id its device gave it. The same id again is the same photo.

    Raises ValidationError in words for a file that is no picture or too large.
    """
    earlier = Photo.objects.filter(pk=photo_id).first()
    if earlier is not None:
        return earlier
    pictures = reencode(upload, upload.size or 0)
    photo = Photo(pk=photo_id, width=pictures.width, height=pictures.height)
    photo.picture.save(f"{photo_id}.jpg", ContentFile(pictures.picture), save=False)
    photo.small.save(f"{photo_id}-small.jpg", ContentFile(pictures.small), save=False)
    kept, created = Photo.objects.get_or_create(
        pk=photo_id,
        defaults={
            "picture": photo.picture.name,
            "small": photo.small.name,
            "width": photo.width,
            "height": photo.height,
        },
    )
    if not created:  # another request stored it meanwhile
        _remove_files(photo)
    return kept


def photo_empty(*, photo: Photo) -> None:
    """Remove the files of a photo once that is committed, and the sizes from its row.

    Its row stays: a device that sends the photo again under its id does not bring it back.
    """
    Photo.objects.filter(pk=photo.pk).update(picture="", small="", width=0, height=0)
    transaction.on_commit(lambda: _remove_files(photo))


def _remove_files(photo: Photo) -> None:
    for file in (photo.picture, photo.small):
        if file.name:
            file.storage.delete(file.name)
