"""Work that may wait: a row written in the transaction that asked for it."""

import uuid

from django.db import models
from django.db.models.functions import Now
from django.utils.translation import gettext_lazy as _

from .enums import Encryption, ProcessPart

KEY_LENGTH = 120


class Job(models.Model):
    """One piece of deferred work.

    Whoever holds the lease is doing it, and renews it; the lease of a process that died runs
    out. ``attempts`` counts how often the work was begun.
    """

    personal_columns = ("error",)
    business_columns = ("handler", "payload", "key", "request_id")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    handler = models.CharField(max_length=60)
    payload = models.JSONField(default=dict)
    # The same key is the same work: asked for twice, done once.
    key = models.CharField(max_length=KEY_LENGTH, unique=True, null=True, blank=True)
    created_at = models.DateTimeField(db_default=Now())
    due_at = models.DateTimeField(db_default=Now())
    # When a message about the row was last given to the broker; null: one is to be sent.
    sent_at = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    lease = models.UUIDField(null=True, blank=True)
    leased_until = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    error = models.TextField(blank=True)
    # Of the request that asked for it: its log lines and those of the work carry the same.
    request_id = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["created_at"]
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=models.Q(done_at__isnull=True, given_up_at__isnull=True),
                name="outbox_waiting",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.handler} {self.id}"

    @property
    def why_not(self) -> str:
        """What the last failure said, without the name of its kind."""
        return self.error.partition(": ")[2] or self.error


class Mail(models.Model):
    """One mail, kept also where none is sent (no mail server); ``sent_at`` is set exactly once."""

    personal_columns = ("to", "subject", "text", "html")
    business_columns = ("reply_to",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    to = models.EmailField()
    reply_to = models.EmailField(blank=True)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    created_at = models.DateTimeField(db_default=Now())
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "pk"]

    def __str__(self) -> str:
        return f"{self.to}: {self.subject}"


class MailAccount(models.Model):
    """The mail server set on screen: at most one row. Its password is in no table.

    See ``mail_password``. ``proven_as``: what the last test letter that went out had proven.
    """

    business_columns = ("sender", "host", "encryption", "user", "proven_as")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    sender = models.EmailField()
    host = models.CharField(max_length=200)
    encryption = models.CharField(
        max_length=8, choices=Encryption.choices, default=Encryption.STARTTLS
    )
    port = models.PositiveIntegerField(null=True, blank=True)
    user = models.CharField(max_length=200, blank=True)
    proven_as = models.CharField(max_length=800, blank=True)

    class Meta:
        verbose_name = _("mail server")

    def __str__(self) -> str:
        return self.host

    @property
    def server(self) -> str:
        """What the password is kept for."""
        return f"{self.encryption} {self.user}@{self.host}:{self.port}"


class ServerProcess(models.Model):
    """One process of the program, and when it last said that it is alive (``signs.py``)."""

    business_columns = ("part", "host")

    part = models.CharField(max_length=12, choices=ProcessPart.choices)
    host = models.CharField(max_length=200)
    pid = models.PositiveIntegerField()
    started_at = models.DateTimeField(db_default=Now())
    seen_at = models.DateTimeField(db_default=Now())

    class Meta:
        ordering = ["part", "host", "pid"]
        constraints = [
            models.UniqueConstraint(fields=["part", "host", "pid"], name="outbox_one_sign_each")
        ]

    def __str__(self) -> str:
        return f"{self.part} {self.host} {self.pid}"
