"""The bikes and what can be set on them. Where an adjuster stands is kept in the setup book."""

import uuid
from decimal import Decimal
from typing import Any, ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.people.models import Customer
from jobs.tuning.units import symbol_of

from .enums import End, Firming, FittingKind, Function, Leg, Origin, Unit


def _length() -> models.DecimalField[Any, Decimal | None]:
    return models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)


def _rate() -> models.DecimalField[Any, Decimal | None]:
    return models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)


class Chassis(models.Model):
    """Figures of a bike or of a model sheet, each only where known (mm, deg, N/mm, kg).

    How they are typed, and what each may be: ``figures.py``.
    """

    business_columns: ClassVar[tuple[str, ...]] = ("linkage_curve", "typed_in")

    front_usable_travel_mm = _length()
    rear_usable_travel_mm = _length()  # of the wheel
    rear_shaft_stroke_mm = _length()  # of the shock's shaft, up to its end mark
    front_end_mark_mm = _length()
    rear_end_mark_mm = _length()  # of the shock's shaft
    front_preload_mm_per_turn = _length()
    rear_preload_mm_per_turn = _length()
    front_spring_left_n_per_mm = _rate()
    front_spring_right_n_per_mm = _rate()
    rear_spring_n_per_mm = _rate()
    motion_ratio = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    # Shock stroke against wheel travel in mm, [[0, 0], [10, 4.6], ...]; empty: use motion_ratio.
    linkage_curve = models.JSONField(default=list, blank=True)
    rake_deg = _length()
    trail_mm = _length()
    offset_mm = _length()
    wheelbase_mm = _length()
    front_wheel_radius_mm = _length()
    rear_wheel_radius_mm = _length()
    # What each wheel weighs on scales without rider, and how much of it is not sprung.
    front_weight_kg = _length()
    rear_weight_kg = _length()
    front_unsprung_kg = _length()
    rear_unsprung_kg = _length()
    # The units they were typed in, to be shown again in them: {"fork": "kgf/mm", ...}.
    typed_in = models.JSONField(default=dict, blank=True)

    class Meta:
        abstract = True


class AdjusterFields(models.Model):
    """How one adjuster is counted: the same for a bike and for a model sheet."""

    business_columns: ClassVar[tuple[str, ...]] = ("labels",)

    end = models.CharField(max_length=5, choices=End.choices)
    leg = models.CharField(max_length=5, choices=Leg.choices, default=Leg.BOTH)
    function = models.CharField(max_length=20, choices=Function.choices)
    unit = models.CharField(max_length=5, choices=Unit.choices, default=Unit.CLICK)
    step = models.DecimalField(max_digits=6, decimal_places=3, default=Decimal("1"))
    labels = models.JSONField(default=list, blank=True, help_text=_("positions by name, in order"))
    origin = models.CharField(max_length=6, choices=Origin.choices, default=Origin.CLOSED)
    first_click = models.PositiveSmallIntegerField(
        default=0, help_text=_("the number said at the end itself: 0 or 1")
    )
    lowest = models.DecimalField(max_digits=8, decimal_places=3, default=Decimal("0"))
    highest = models.DecimalField(max_digits=8, decimal_places=3)
    firming = models.CharField(max_length=4, choices=Firming.choices, default=Firming.DOWN)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True


class Bike(Chassis):
    personal_columns = ("colour", "frame_last4", "note")
    business_columns = ("make", "model")

    owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="bikes")
    make = models.CharField(max_length=60)
    model = models.CharField(max_length=60)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    colour = models.CharField(max_length=40, blank=True)
    frame_last4 = models.CharField(max_length=4, blank=True)
    note = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["make", "model", "pk"]

    def __str__(self) -> str:
        return f"{self.make} {self.model}"


class FormerOwner(models.Model):
    """Who owned a bike until it was sold: what was written of it before is about this person."""

    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="former_owners")
    owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="former_bikes")
    until = models.DateTimeField()
    shown_to_next = models.BooleanField(
        default=False,
        help_text=_("the next owner sees the machine's days of before: the seller agreed"),
    )

    class Meta:
        ordering = ["bike", "until"]

    def __str__(self) -> str:
        return f"{self.bike}, until {self.until:%Y-%m-%d}"


class Adjuster(AdjusterFields):
    personal_columns = ("fault", "proven_note")

    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="adjusters")
    # The two legs of a fork carry the same pair: one act moves both.
    pair = models.UUIDField(null=True, blank=True)
    range_counted = models.BooleanField(default=False, help_text=_("counted on this bike"))
    listed_highest = models.DecimalField(
        max_digits=8, decimal_places=3, null=True, blank=True,
        help_text=_("where the sheet had the range end, before it was counted on this bike"),
    )  # fmt: skip
    usable = models.BooleanField(default=True)
    fault = models.CharField(max_length=200, blank=True)
    proven_at = models.DateTimeField(null=True, blank=True)
    proven_note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["end", "order", "function", "leg"]
        constraints = [
            models.UniqueConstraint(
                fields=["bike", "end", "leg", "function"], name="garage_adjuster_once"
            ),
            models.CheckConstraint(
                condition=models.Q(highest__gt=models.F("lowest")), name="garage_adjuster_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_end_display()} {self.get_function_display()}"


class ModelSheet(Chassis):
    """The business's own template; copied onto a bike, never linked."""

    business_columns = ("make", "model", "note")

    make = models.CharField(max_length=60)
    model = models.CharField(max_length=60)
    year = models.PositiveSmallIntegerField(default=0, help_text=_("0: any year"))
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["make", "model", "-year"]
        constraints = [
            models.UniqueConstraint(fields=["make", "model", "year"], name="garage_sheet_once"),
        ]

    def __str__(self) -> str:
        return f"{self.make} {self.model} {self.year or ''}".strip()


class SheetAdjuster(AdjusterFields):
    sheet = models.ForeignKey(ModelSheet, on_delete=models.CASCADE, related_name="adjusters")
    standard = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)

    class Meta:
        ordering = ["end", "order", "function", "leg"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "end", "leg", "function"], name="garage_sheet_adjuster_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_end_display()} {self.get_function_display()}"


class Gauge(models.Model):
    """An instrument, its unit, and what it reads above the reference gauge."""

    business_columns = ("name", "quantity", "unit")

    name = models.CharField(max_length=60, unique=True)
    quantity = models.CharField(max_length=12, default="pressure")
    unit = models.CharField(max_length=6)
    offset = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("0"))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name} ({symbol_of(self.unit)})"


class SpringInVan(models.Model):
    """Springs of one kind that the van carries: of one fork leg, or of a shock."""

    business_columns = ("description",)

    end = models.CharField(max_length=5, choices=End.choices)
    rate_n_per_mm = models.DecimalField(max_digits=8, decimal_places=3)
    description = models.CharField(max_length=80, blank=True, help_text=_("maker, length"))
    pieces = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["end", "rate_n_per_mm", "description"]
        verbose_name = _("spring in the van")
        constraints = [
            models.UniqueConstraint(
                fields=["end", "rate_n_per_mm", "description"],
                name="garage_van_spring_once",
                violation_error_message=_(
                    "These springs are in the list already: count them there."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rate_n_per_mm.normalize():f} N/mm {self.description}".strip()


class Fitting(models.Model):
    """A part on the bike from one time to another; never an adjuster change."""

    business_columns = ("name", "compound", "date_code", "maker_range_kpa", "detail")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="fittings")
    end = models.CharField(max_length=5, choices=End.choices, blank=True)
    kind = models.CharField(max_length=8, choices=FittingKind.choices)
    name = models.CharField(max_length=120, help_text=_("make and model as written on the part"))
    compound = models.CharField(max_length=40, blank=True)
    date_code = models.CharField(max_length=8, blank=True)
    warmers_c = models.PositiveSmallIntegerField(null=True, blank=True)
    new_depth_mm = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    price_minor = models.BigIntegerField(null=True, blank=True)
    # The maker's gauge range per tyre state, kPa: {"cold": [160, 200], "track": [...]}.
    maker_range_kpa = models.JSONField(default=dict, blank=True)
    detail = models.CharField(
        max_length=80, blank=True, help_text=_("rate, oil and level, teeth, link")
    )
    due_after_outings = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text=_("service due after so many outings")
    )
    fitted_at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-fitted_at"]

    def __str__(self) -> str:
        return self.name
