"""Photos that come with acts: held as they were sent, so that the act is accepted first.

A photo of a refused act stays for a day: who mends the act need not take it again. If no act
shows it by then, it is removed.
"""

import time
import uuid
from datetime import UTC, datetime, timedelta
from functools import partial

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import Exists, OuterRef

from jobs.files.models import Photo
from jobs.files.services import photo_decode, photo_drop, photo_hold
from jobs.outbox.queues import Queue
from jobs.outbox.registry import Finish
from jobs.outbox.services import job_enqueue
from jobs.setups.models import BikePhoto
from jobs.trackday.services import revision_bump

HANDLER, QUEUE = "acts.photo", Queue.PHOTOS
KEPT_UNSHOWN = timedelta(days=1)
LOOK_EVERY_S = 3600


class LookedForUnshown:
    """When this process looked last."""

    at = -float(LOOK_EVERY_S)


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


def look_for_unshown() -> None:
    """Called at every sweep of the outbox; removes once an hour what no act shows."""
    now = time.monotonic()
    if now - LookedForUnshown.at >= LOOK_EVERY_S:
        LookedForUnshown.at = now
        photos_unshown_drop(before=datetime.now(UTC) - KEPT_UNSHOWN)


def photos_unshown_drop(*, before: datetime) -> int:
    """Remove the photos that came before then and that nothing shows. How many."""
    shown = BikePhoto.objects.filter(photo=OuterRef("pk"))
    unshown = Photo.objects.filter(~Exists(shown), created_at__lt=before)
    return sum(photo_drop(photo_id=pk) for pk in unshown.values_list("pk", flat=True))
