"""The record of acts: each act that a person did on a device, once, with its answer."""

import uuid

from django.conf import settings
from django.db import models

from jobs.people.models import Device
from jobs.trackday.models import Trackday

from .enums import Outcome

MOST_VERSIONS = 32767  # what the columns of both databases hold
LARGEST_SEQ = 2**31 - 1


class Act(models.Model):
    """``id`` is made by the device. ``done_at`` is its clock, corrected, at most the present.

    ``already`` is no column: whether the act was known before it was sent this time.
    """

    already = False

    personal_columns = ("payload", "answer")
    business_columns = ("kind",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=24)
    # Of the kind's payload; what an older program kept is read by registry.payload_of.
    version = models.PositiveSmallIntegerField(default=1)
    payload = models.JSONField()
    trackday = models.ForeignKey(
        Trackday, null=True, blank=True, on_delete=models.PROTECT, related_name="acts"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(
        Device, null=True, blank=True, on_delete=models.PROTECT, related_name="acts"
    )
    device_seq = models.PositiveIntegerField(null=True, blank=True)
    device_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField()
    received_at = models.DateTimeField()
    # The day's revision this act made: the server's order of acceptance, in commit order.
    revision = models.PositiveBigIntegerField(null=True, blank=True)
    outcome = models.CharField(max_length=8, choices=Outcome.choices, blank=True)
    answer = models.JSONField(default=dict)

    class Meta:
        ordering = ["received_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["device", "device_seq"],
                condition=models.Q(device__isnull=False, device_seq__isnull=False),
                name="acts_device_sequence",
            ),
        ]
        indexes = [models.Index(fields=["trackday", "-received_at"], name="acts_of_day")]

    def __str__(self) -> str:
        return f"{self.kind} {self.outcome}"
