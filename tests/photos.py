"""Photos in tests: held as they were sent, then decoded as the worker does it."""

import uuid

from django.core.files.uploadedfile import UploadedFile

from jobs.acts.photos import HANDLER
from jobs.files.models import Photo
from jobs.files.services import photo_decode, photo_hold
from jobs.outbox import worker
from jobs.outbox.models import Job


def photo_kept(*, photo_id: uuid.UUID, upload: UploadedFile) -> Photo:
    """A photo that is decoded already."""
    photo_hold(photo_id=photo_id, upload=upload)
    keep = photo_decode(photo_id=photo_id)
    if keep is not None:
        keep()
    return Photo.objects.get(pk=photo_id)


def photos_prepare() -> int:
    """What the worker does with the photos that were sent; how many."""
    waiting = Job.objects.filter(handler=HANDLER, done_at__isnull=True)
    return sum(worker.do(pk) for pk in list(waiting.values_list("pk", flat=True)))
