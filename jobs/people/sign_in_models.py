"""What signing in keeps, beside users: one-time codes, second factors, tries, open sessions."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class SetupCode(models.Model):
    """The one-time code that opens the first page while there is no tuner: at most one row.

    See ``setup_code.py``. ``code_hash`` is empty once the code was used or tried too often.
    """

    secret_columns = ("code_hash", "holder_hash")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    code_hash = models.CharField(max_length=64, blank=True)
    holder_hash = models.CharField(
        max_length=64, blank=True, help_text=_("of what the browser keeps that entered the code")
    )
    wrong_tries = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="people_one_setup_code"),
        ]

    def __str__(self) -> str:
        return f"setup code, {self.wrong_tries} wrong tries"


class WrongTries(models.Model):
    """How often something was tried wrongly, and until when it is refused: ``throttle.py``."""

    secret_columns = ("mark",)

    mark = models.CharField(max_length=64, unique=True, help_text=_("hash of what and who"))
    wrong = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(db_index=True)
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "wrong tries"

    def __str__(self) -> str:
        return f"{self.wrong} wrong tries"


class SecondFactor(models.Model):
    """The secret that a person's phone shares with us (``second_factor.py``): at most one each."""

    secret_columns = ("secret",)

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+"
    )
    secret = models.CharField(max_length=64)
    confirmed_at = models.DateTimeField(null=True, blank=True, help_text=_("since then asked for"))
    last_step = models.BigIntegerField(default=0, help_text=_("of the last code that was used"))

    def __str__(self) -> str:
        return f"second factor of {self.user}"

    @property
    def mark(self) -> str:
        """What a browser remembers that gave a code of this one."""
        return f"second factor {self.pk}"


class Passkey(models.Model):
    """A key that a person's phone, computer or security key keeps for us: ``passkeys.py``."""

    business_columns = ("name", "host")
    secret_columns = ("id_hash", "credential")

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=60)
    host = models.CharField(max_length=255, help_text=_("the name it was made for"))
    id_hash = models.CharField(max_length=64, unique=True)
    credential = models.BinaryField(help_text=_("its id and its public key"))
    counter = models.PositiveBigIntegerField(help_text=_("the key's own count of its uses"))
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name

    @property
    def mark(self) -> str:
        """What a browser remembers on which it was used."""
        return f"passkey {self.pk}"


class OpenSession(models.Model):
    """One browser on which somebody of the business signed in: see ``open_sessions.py``."""

    business_columns = ("browser",)
    secret_columns = ("session_key",)

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    session_key = models.CharField(max_length=40, unique=True)
    browser = models.CharField(max_length=60)
    began_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.browser


class RecoveryCode(models.Model):
    """A code that stands in for the phone, once: its row goes when it is used."""

    secret_columns = ("code_hash",)

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    code_hash = models.CharField(max_length=64, unique=True)

    def __str__(self) -> str:
        return f"recovery code of {self.user}"
