"""Photos that come with acts: held as they were sent, so that the act is accepted first."""

import uuid
from functools import partial

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from jobs.files.models import Photo
from jobs.files.services import photo_decode, photo_hold
from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish
from jobs.outbox.services import job_enqueue
from jobs.setups.models import BikePhoto
from jobs.trackday.services import revision_bump

HANDLER, QUEUE = "acts.photo", Queue.PHOTOS


@transaction.atomic
def photo_take(*, photo_id: uuid.UUID, upload: UploadedFile[bytes]) -> Photo:
    """Hold a photo and have it decoded. Raises ValidationError in words for what is no picture."""
    photo, is_new = photo_hold(photo_id=photo_id, upload=upload)
    if is_new:
        job_enqueue(handler=HANDLER, payload={"photo": str(photo.pk)}, key=f"{HANDLER} {photo.pk}")
    return photo


def photo_prepare(*, photo_id: uuid.UUID) -> Finish | None:
    """Decode a photo; then the pages that show it are told."""
    keep = photo_decode(photo_id=photo_id)
    return None if keep is None else partial(_keep_and_tell, photo_id, keep)


def _keep_and_tell(photo_id: uuid.UUID, keep: Finish) -> None:
    keep()
    shown = BikePhoto.objects.filter(photo=photo_id, entry__isnull=False)
    for trackday_id in set(shown.values_list("entry__trackday", flat=True)):
        revision_bump(trackday_id=trackday_id)
