"""Photos, re-encoded. What they show and who may see them is known by the rooms above."""

import uuid

from django.db import models
from django.db.models.functions import Now
from django.utils.translation import gettext as _


class Photo(models.Model):
    """``id`` is the device's, so the same photo sent twice is one. Files are JPEG, no metadata.

    ``raw`` is the file as it was sent: held, never served, and gone once it is decoded.
    ``fault`` says why it could not be.
    """

    personal_columns = ("picture", "small", "raw")
    business_columns = ("fault",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    picture = models.FileField(upload_to="photos/%Y/%m/")
    small = models.FileField(upload_to="photos/%Y/%m/")
    raw = models.FileField(upload_to="photos/as-sent/", blank=True)
    fault = models.CharField(max_length=200, blank=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    created_at = models.DateTimeField(db_default=Now())

    class Meta:
        ordering = ["created_at"]

    def __str__(self) -> str:
        return f"photo {self.id}"

    @property
    def waits(self) -> bool:
        """Whether it still has to be decoded."""
        return bool(self.raw)

    @property
    def instead(self) -> str:
        """What is said where the picture would be; empty where it can be shown."""
        if self.waits:
            return _("The photo is being prepared.")
        return self.fault or ("" if self.picture else _("The photo was removed."))
