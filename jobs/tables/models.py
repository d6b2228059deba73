from django.db import models


class ListFormat(models.Model):
    """How the columns of a list were matched, once it was taken in.

    A later file of the same kind with the same set of headings, in any order, is read alike.
    """

    business_columns = ("kind", "headings", "columns")

    kind = models.CharField(max_length=20)
    # The headings as ``matching.headings_key`` gives them.
    headings = models.TextField()
    # {heading: name of its field, or "" for a column that is not used}
    columns = models.JSONField()
    used_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "headings"], name="tables_format_once"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.headings[:60]}"
