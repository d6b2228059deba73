"""Which backups were tried, and what became of each."""

from django.db import models
from django.db.models.functions import Now


class Backup(models.Model):
    """One try; good where ``fault`` is empty. ``database_tried``: it was restored and compared.

    ``customers``: how many it holds; with none it was made of a place that had not begun to work.
    """

    business_columns = ("file", "fault")

    at = models.DateTimeField(db_default=Now())
    file = models.CharField(max_length=80, blank=True)
    size = models.PositiveBigIntegerField(default=0, help_text="bytes")
    rows = models.PositiveBigIntegerField(default=0)
    files = models.PositiveIntegerField(default=0)
    # Null: made by a version that did not count them.
    customers = models.PositiveBigIntegerField(null=True, blank=True)
    database_tried = models.BooleanField(default=False)
    fault = models.TextField(blank=True)

    class Meta:
        ordering = ["-at"]
        get_latest_by = "at"

    def __str__(self) -> str:
        return self.file or self.fault[:60]
