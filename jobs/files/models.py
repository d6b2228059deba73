"""Photos, re-encoded. What they show and who may see them is known by the rooms above."""

import uuid

from django.db import models
from django.db.models.functions import Now


class Photo(models.Model):
    """``id`` is the device's, so the same photo sent twice is one. Files are JPEG, no metadata."""

    personal_columns = ("picture", "small")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    picture = models.FileField(upload_to="photos/%Y/%m/")
    small = models.FileField(upload_to="photos/%Y/%m/")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    created_at = models.DateTimeField(db_default=Now())

    class Meta:
        ordering = ["created_at"]

    def __str__(self) -> str:
        return f"photo {self.id}"
