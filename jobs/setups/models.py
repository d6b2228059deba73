"""The setup book: facts only. What was read, set, found, said, expected and judged.

Rows are never edited into something else. They are followed by others, or withdrawn
(struck through, never deleted). The primary key of a row is the UUID of the act that
made it, so the same act can never make it twice.
"""

import uuid
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.files.models import Photo
from jobs.garage.enums import End, OilState, TravelPlace, TyreState
from jobs.garage.models import Adjuster, Bike, Gauge
from jobs.people.reader_words import ReaderCharField
from jobs.trackday.models import Entry, Session

from .enums import Phase, RowKind, RowState, SetupKind, Subject, ToldBy, Verdict
from .reading_kinds import reading_kind_choices
from .sheet_models import SetupSheet

__all__ = [
    "Adjustment", "BikePhoto", "BookRow", "Expectation", "Finding", "Judgement", "KeptPosition",
    "KeptReading", "KeptSetup", "Measurement", "Order", "Reading", "SetupSheet",
]  # fmt: skip


def _person(**options: Any) -> models.ForeignKey[Any, Any]:
    return models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", **options
    )


def _second_reason() -> models.CharField[Any, str]:
    return models.CharField(
        max_length=200, blank=True, help_text=_("why a second change on this end could not wait")
    )


class BookRow(models.Model):
    """The fields of every row of the book: entry, when, by whom, and whether it is withdrawn."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="%(class)ss"
    )
    # With the entry, the outing the row hangs on; null before the first one.
    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    by = _person()
    done_at = models.DateTimeField(help_text=_("by the device's clock, corrected"))
    accepted_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = _person(null=True, blank=True)
    # Entered on the wrong bike first: the row there, now withdrawn.
    moved_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        abstract = True


class Order(BookRow):
    """A change to be done, written by a tuner; doing it writes the change."""

    personal_columns = ("reason", "second_reason", "expectation", "condition")

    adjuster = models.ForeignKey(Adjuster, on_delete=models.PROTECT, related_name="orders")
    from_position = models.DecimalField(max_digits=8, decimal_places=3)
    to_position = models.DecimalField(max_digits=8, decimal_places=3)
    reason = ReaderCharField(max_length=300, blank=True)
    second_reason = _second_reason()
    tyre_state = models.CharField(max_length=7, choices=TyreState.choices, blank=True)
    # What the change is for, and what should be seen of it: written when it is carried out.
    finding = models.ForeignKey(
        "setups.Finding", null=True, blank=True, on_delete=models.PROTECT, related_name="orders"
    )
    expectation = ReaderCharField(max_length=300, blank=True)
    condition = models.CharField(max_length=120, blank=True)
    # The same on all orders written together: both legs of a pair, preload with its rebound.
    linked = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return f"{self.adjuster} {self.from_position} -> {self.to_position}"


class Adjustment(BookRow):
    """One adjuster counted, changed or found elsewhere.

    ``seq`` orders the rows of one adjuster as the server accepted them; only placed
    (or once placed, now withdrawn) rows have one. The adjuster stands at the
    ``to_position`` of its last placed row.
    """

    personal_columns = ("oil_reason", "reason", "step_reason", "second_reason", "turned_by")
    business_columns = ("unplaced_why",)

    adjuster = models.ForeignKey(Adjuster, on_delete=models.PROTECT, related_name="rows")
    kind = models.CharField(max_length=8, choices=RowKind.choices)
    state = models.CharField(max_length=9, choices=RowState.choices, default=RowState.PLACED)
    seq = models.PositiveIntegerField(null=True, blank=True)
    from_position = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    to_position = models.DecimalField(max_digits=8, decimal_places=3)
    oil_state = models.CharField(max_length=4, choices=OilState.choices, blank=True)
    oil_reason = models.CharField(
        max_length=200, blank=True, help_text=_("why the derived oil state was overruled")
    )
    tyre_state = models.CharField(max_length=7, choices=TyreState.choices, blank=True)
    reason = ReaderCharField(max_length=300, blank=True)
    # The finding it was made for, where the person who made it said so.
    finding = models.ForeignKey(
        "setups.Finding", null=True, blank=True, on_delete=models.PROTECT, related_name="changes"
    )
    step_reason = models.CharField(
        max_length=200, blank=True, help_text=_("why a step larger than usual")
    )
    second_reason = _second_reason()
    # Counted twice; more than one apart is unsure.
    second_count = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    turned_by = models.CharField(max_length=80, blank=True, help_text=_("who may have turned it"))
    unplaced_why = models.CharField(max_length=300, blank=True)
    order = models.ForeignKey(
        Order, null=True, blank=True, on_delete=models.PROTECT, related_name="changes"
    )
    placed_by = _person(null=True, blank=True)  # who placed it after it came unplaced
    # The same on all rows written together: both legs of a pair, preload with its rebound.
    linked = models.UUIDField(null=True, blank=True)
    read_back = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    read_back_by = _person(null=True, blank=True)
    read_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["adjuster", "seq"]
        constraints = [
            models.UniqueConstraint(fields=["adjuster", "seq"], name="setups_row_in_its_place"),
            models.CheckConstraint(
                condition=models.Q(state="unplaced", seq__isnull=True)
                | models.Q(state="placed", seq__isnull=False)
                | models.Q(state="withdrawn"),
                name="setups_placed_rows_have_a_place",
            ),
        ]
        indexes = [
            models.Index(fields=["adjuster", "state", "-seq"], name="setups_current_position"),
            models.Index(fields=["entry", "accepted_at"], name="setups_adjustments_of_entry"),
            models.Index(fields=["entry", "adjuster", "seq"], name="setups_arrived_position"),
        ]

    def __str__(self) -> str:
        return f"{self.adjuster} {self.from_position} -> {self.to_position}"


class Reading(BookRow):
    """One measurement of one bike; its numbers are Measurement rows."""

    personal_columns = ("note", "oil_reason")

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="readings")
    kind = models.CharField(max_length=16, choices=reading_kind_choices)
    end = models.CharField(max_length=5, choices=End.choices, blank=True)
    oil_state = models.CharField(max_length=4, choices=OilState.choices, blank=True)
    oil_reason = models.CharField(
        max_length=200, blank=True, help_text=_("why the derived oil state was overruled")
    )
    tyre_state = models.CharField(max_length=7, choices=TyreState.choices, blank=True)
    place = models.CharField(
        max_length=11, choices=TravelPlace.choices, blank=True,
        help_text=_("where travel was read; empty: nobody said"),
    )  # fmt: skip
    minutes_since_stop = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    gauge = models.ForeignKey(
        Gauge, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["accepted_at"]
        indexes = [
            models.Index(fields=["bike", "kind", "-accepted_at"], name="setups_readings_of_bike"),
            models.Index(fields=["entry", "kind"], name="setups_readings_of_entry"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.end}"

    def entered(self, name: str) -> list[tuple[Decimal, str]]:
        """The numbers of one name as they were entered, each with its unit."""
        return [
            (one.value, one.unit)
            for one in self.measurements.all()
            if one.name == name and one.value is not None
        ]

    def canonical(self, name: str) -> list[Decimal]:
        """The numbers of one name in the canonical unit, in the order they were entered."""
        return [
            one.canonical
            for one in self.measurements.all()
            if one.name == name and one.canonical is not None
        ]

    def switched(self, name: str) -> bool | None:
        """Whether a switch was on; None where nobody said."""
        found = (one.on for one in self.measurements.all() if one.name == name)
        return next(found, None)


class Measurement(models.Model):
    """One number of a reading, as entered with its unit and in the canonical unit; or one
    switch of it, on or off.

    Canonical: kPa gauge, degC, mm, s, percent, count.
    """

    business_columns = ("name", "unit")

    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="measurements")
    name = models.CharField(max_length=20)
    index = models.PositiveSmallIntegerField(default=0, help_text=_("lap 1, 2, 3 ..."))
    value = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    unit = models.CharField(max_length=8, blank=True)
    canonical = models.DecimalField(max_digits=12, decimal_places=5, null=True, blank=True)
    on = models.BooleanField(
        null=True, blank=True, help_text=_("a switch: it was so, or not; empty for a number")
    )

    class Meta:
        ordering = ["reading", "index", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["reading", "name", "index"], name="setups_measurement_once"
            ),
            models.CheckConstraint(
                condition=models.Q(on=None, value__isnull=False, canonical__isnull=False)
                | models.Q(on__isnull=False, value=None, canonical=None, unit=""),
                name="setups_number_or_switch",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.value} {self.unit}" if self.on is None else self.name


class Finding(BookRow):
    """Something seen or said: from the catalogue (``code``) or in free words."""

    personal_columns = ("corner", "place", "words")
    business_columns = ("code", "title")
    removed_words = {"words": _("removed")}

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="findings")
    code = models.CharField(max_length=12, blank=True)
    title = ReaderCharField(
        max_length=200, blank=True, help_text=_("what the catalogue called it when it was logged")
    )
    end = models.CharField(max_length=5, choices=End.choices, blank=True)
    phase = models.CharField(max_length=8, choices=Phase.choices, blank=True)
    corner = models.CharField(max_length=60, blank=True)
    place = models.CharField(max_length=20, blank=True, help_text=_("where on the tyre"))
    words = models.TextField(blank=True, help_text=_("the rider's own words, verbatim"))
    by_rider = models.BooleanField(default=False)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return self.words or self.title or self.code


class BikePhoto(BookRow):
    """A photo of a bike, or of one place on one wheel. ``jobs.files`` keeps the file."""

    personal_columns = ("place", "words")

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="photos")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+")
    subject = models.CharField(max_length=8, choices=Subject.choices)
    end = models.CharField(max_length=5, choices=End.choices, blank=True)
    place = models.CharField(max_length=20, blank=True, help_text=_("where on the tyre"))
    words = models.CharField(max_length=300, blank=True)
    machine_only = models.BooleanField(
        default=False, help_text=_("shows only the machine: the bike's next owner sees it too")
    )
    # Taken while logging a finding: what that finding looked like.
    finding = models.ForeignKey(
        Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )

    class Meta:
        ordering = ["accepted_at"]
        indexes = [models.Index(fields=["bike", "subject"], name="setups_photos_of_bike")]

    def __str__(self) -> str:
        return f"{self.get_subject_display()} {self.get_end_display()} {self.place}".strip()


class Expectation(BookRow):
    """What should be seen after the next outing if the change was right."""

    personal_columns = ("text", "condition")

    adjustment = models.ForeignKey(
        Adjustment, on_delete=models.CASCADE, related_name="expectations"
    )
    text = ReaderCharField(max_length=300)
    condition = models.CharField(max_length=120, blank=True)
    finding = models.ForeignKey(
        Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="expectations"
    )

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return self.text


class Judgement(BookRow):
    """Whether an expectation was seen. The last judgement that is not withdrawn counts."""

    personal_columns = ("words",)

    expectation = models.ForeignKey(
        Expectation, on_delete=models.CASCADE, related_name="judgements"
    )
    verdict = models.CharField(max_length=10, choices=Verdict.choices)
    like_pace = models.BooleanField(null=True, blank=True)
    told_by = models.CharField(
        max_length=5, choices=ToldBy.choices, blank=True, help_text=_("empty: nobody said")
    )
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return self.get_verdict_display()


class KeptSetup(BookRow):
    """A named snapshot of every adjuster of one bike."""

    personal_columns = ("name", "note")

    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="kept_setups")
    kind = models.CharField(max_length=8, choices=SetupKind.choices)
    name = models.CharField(max_length=60)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return self.name


class KeptPosition(models.Model):
    kept = models.ForeignKey(KeptSetup, on_delete=models.CASCADE, related_name="positions")
    adjuster = models.ForeignKey(Adjuster, on_delete=models.CASCADE, related_name="+")
    position = models.DecimalField(max_digits=8, decimal_places=3)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["kept", "adjuster"], name="setups_kept_once"),
        ]

    def __str__(self) -> str:
        return f"{self.adjuster} {self.position}"


class KeptReading(models.Model):
    """A pressure as the gauge read it when the setup was kept, for one end and tyre state."""

    kept = models.ForeignKey(KeptSetup, on_delete=models.CASCADE, related_name="readings")
    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["kept", "reading"], name="setups_kept_reading_once"),
        ]

    def __str__(self) -> str:
        return str(self.reading)
