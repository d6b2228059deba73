from django.db import models
from django.utils.translation import gettext_lazy as _


class Encryption(models.TextChoices):
    """How a mail server is spoken to (RFC 8314 prefers TLS from the start)."""

    TLS = "tls", _("TLS from the start (port 465)")
    STARTTLS = "starttls", _("STARTTLS (port 587)")
    NONE = "none", _("none (port 25)")


USUAL_PORTS = {Encryption.TLS: 465, Encryption.STARTTLS: 587, Encryption.NONE: 25}


class ProcessPart(models.TextChoices):
    """What a process does. One process may be several parts: embedded, it is the first two."""

    PAGES = "pages", _("pages")
    WORK = "work", _("deferred work: the sweep")
    WORKER = "worker", _("deferred work: a worker")
    TIMER = "timer", _("the timer of the sweep (beat)")
