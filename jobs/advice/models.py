"""What people decided about advice: overruled, answered, settled, and findings of their own."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End, Function
from jobs.garage.models import Bike
from jobs.people.models import Rider
from jobs.setups.models import BookRow, KeptSetup
from jobs.tuning.knowledge import ChangeDirection


class Overrule(BookRow):
    """A suggestion a tuner does not want: silent for that bike and day, the reason kept."""

    personal_columns = ("reason",)
    business_columns = ("code",)

    code = models.CharField(max_length=12, help_text=_("the finding"))
    end = models.CharField(max_length=5, choices=End.choices)
    function = models.CharField(max_length=20, choices=Function.choices, blank=True)
    direction = models.CharField(
        max_length=6, choices=[(way.value, way.value) for way in ChangeDirection], blank=True
    )
    reason = models.CharField(max_length=300)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return f"{self.code} {self.end} {self.function} {self.direction}"


class Answered(BookRow):
    """A suspect's question, answered. The last one not withdrawn counts.

    It belongs to the question: a finding amended since has its suspects in another order.
    """

    business_columns = ("code", "asked")

    code = models.CharField(max_length=12, help_text=_("the finding"))
    suspect = models.PositiveSmallIntegerField()
    asked = models.CharField(max_length=300, blank=True, help_text=_("the question, its beginning"))
    yes = models.BooleanField()

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return f"{self.code}.{self.suspect}: {'yes' if self.yes else 'no'}"


class Settlement(BookRow):
    """A bike called settled: what it was settled at, to be compared with from then on."""

    personal_columns = ("note", "weight_kg")
    business_columns = ("because", "laps")

    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="+")
    rider = models.ForeignKey(Rider, on_delete=models.PROTECT, related_name="+")
    kept = models.ForeignKey(KeptSetup, on_delete=models.PROTECT, related_name="+")
    because = models.JSONField(default=list, help_text=_("what spoke for it, in words"))
    laps = models.JSONField(default=list, help_text=_("seconds of the reference outing's laps"))
    wet = models.BooleanField(null=True, blank=True)
    track_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    weight_kg = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return ", ".join(self.because)


class OwnFinding(models.Model):
    """A finding of the business's own, or its amendment of a shipped one, in the open form."""

    business_columns = ("code", "text")

    code = models.CharField(max_length=12, unique=True)
    text = models.TextField(help_text=_("one table of TOML, as the shipped findings"))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code

    @property
    def stamp(self) -> str:
        """Which writing of it this is: another after each save."""
        return self.at.isoformat()


class KeptEvidence(models.Model):
    """What was counted of one bike's judged changes; made again where the stamp is another.

    ``rows``: as ``selectors.kept_evidence`` writes and reads them.
    """

    business_columns = ("stamp", "rows")

    bike = models.OneToOneField(Bike, on_delete=models.CASCADE, primary_key=True, related_name="+")
    stamp = models.CharField(max_length=64, help_text=_("of everything that it was counted from"))
    rows = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.bike_id}: {len(self.rows)}"
