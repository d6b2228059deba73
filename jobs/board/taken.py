"""A photo that comes with a form: stored first, under an id made of the act's own."""

import uuid

from django.utils.translation import gettext as _

from jobs.files.services import photo_store
from jobs.people.access import SignedIn


def photo_taken(request: SignedIn) -> str:
    """The id of the stored photo a form carries; empty when it carries none.

    Raises ValidationError in words for a file that is no picture or too large.
    """
    upload = request.FILES.get("photo")
    if upload is None:
        return request.POST.get("photo_id", "")
    return str(photo_store(photo_id=_photo_id(request), upload=upload).pk)


def not_kept(why: str) -> str:
    return _("The photo was not kept: %(why)s") % {"why": why}


def _photo_id(request: SignedIn) -> uuid.UUID:
    """Of the act's own id, so that a second tap stores no second file."""
    try:
        return uuid.uuid5(uuid.UUID(request.POST.get("act_id", "")), "photo")
    except ValueError:
        return uuid.uuid4()
