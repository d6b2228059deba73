"""Photos of a bike; the picture itself was stored, re-encoded, by files."""

from collections.abc import Collection
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.files.models import Photo
from jobs.garage.models import Bike

from ..enums import Subject
from ..models import BikePhoto, Finding
from ..origin import RowOrigin


def photo_write(
    *,
    origin: RowOrigin,
    bike: Bike,
    photo: Photo,
    subject: str,
    end: str = "",
    place: str = "",
    words: str = "",
    finding: Finding | None = None,
) -> BikePhoto:
    """Write what a photo shows. A tyre's photo says which end it is."""
    if subject == Subject.TYRE and not end:
        raise ValidationError(_("Say which tyre it is: front or rear."))
    return BikePhoto.objects.create(
        **origin.fields(),
        bike=bike,
        photo=photo,
        subject=subject,
        end=end,
        place=place.strip(),
        words=words.strip(),
        finding=finding,
    )


@transaction.atomic
def photos_of_the_machine_set(*, bike: Bike, photos: Collection[UUID]) -> None:
    """Of this bike's photos, those that show only the machine."""
    rows = BikePhoto.objects.filter(bike=bike)
    rows.filter(pk__in=photos).update(machine_only=True)
    rows.exclude(pk__in=photos).update(machine_only=False)
