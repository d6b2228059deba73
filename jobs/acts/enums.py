from django.db import models
from django.utils.translation import gettext_lazy as _


class Outcome(models.TextChoices):
    APPLIED = "applied", _("applied")
    UNPLACED = "unplaced", _("kept, but not placed")
    REFUSED = "refused", _("refused")
