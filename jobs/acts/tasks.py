"""Deferred work of this room: photos decoded; looks for damage and for photos nothing shows."""

import uuid

from django.utils.translation import gettext_lazy as _

from jobs.outbox.registry import Finish, JobInput, handler, scheduled

from . import damage
from .photos import HANDLER, QUEUE, look_for_unshown, photo_prepare


@handler(HANDLER, queue=QUEUE, words=_("a photo"))
def photo(job: JobInput) -> Finish | None:
    return photo_prepare(photo_id=uuid.UUID(job.payload["photo"]))


scheduled(damage.look)
scheduled(look_for_unshown)
