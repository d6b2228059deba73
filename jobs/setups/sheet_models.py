"""The setup sheet of one bike's day, as it was handed over."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.trackday.models import Entry


class SetupSheet(models.Model):
    """One version of a sheet as PDF: inserted, never changed; a correction is the next version."""

    personal_columns = ("content",)
    business_columns = ("facts",)

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="setup_sheets")
    version = models.PositiveSmallIntegerField()
    facts = models.CharField(max_length=64, help_text=_("SHA-256 of the rows it was made of"))
    content = models.BinaryField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["entry", "version"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "version"], name="setups_sheet_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.entry}, {self.version}"
