"""The trackday: where, who, when. Planned times never change; taps are rows beside them."""

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.garage.models import Bike
from jobs.people.models import Customer, NamedCrew, Rider

from .enums import Absence, Move, Pace


class Venue(models.Model):
    business_columns = ("name", "timezone", "country", "note", "sketch")

    name = models.CharField(max_length=120, unique=True)
    timezone = models.CharField(max_length=60, help_text=_("IANA name, such as Europe/Dublin"))
    country = models.CharField(max_length=2, blank=True)
    altitude_m = models.IntegerField(default=0)
    distance_km = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    note = models.TextField(blank=True)
    # The business's own line of the track, drawn by tapping: [[x, y], ...], 0 to 100 each.
    sketch = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Corner(models.Model):
    """A corner as the business names it on its own sketch of the venue."""

    business_columns = ("name",)

    venue = models.ForeignKey(Venue, on_delete=models.CASCADE, related_name="corners")
    order = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=60)
    # Where it lies on the sketch, in the sketch's own units; null: only named.
    x = models.FloatField(null=True, blank=True)
    y = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(fields=["venue", "name"], name="trackday_corner_once"),
        ]

    def __str__(self) -> str:
        return self.name


class Trackday(models.Model):
    business_columns = ("name", "event")

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="trackdays")
    name = models.CharField(max_length=120)
    date = models.DateField()
    event = models.CharField(max_length=120, blank=True, help_text=_("joins the days of one event"))
    # Who works on the day is in CrewDay; this is only which of the business's crews they are.
    named_crew = models.ForeignKey(
        NamedCrew, null=True, blank=True, on_delete=models.PROTECT, related_name="trackdays"
    )
    closes_at = models.DateTimeField(null=True, blank=True, help_text=_("when the track closes"))
    lunch_from = models.DateTimeField(null=True, blank=True)
    lunch_to = models.DateTimeField(null=True, blank=True)
    lunch_least_minutes = models.PositiveSmallIntegerField(default=30)
    # Every write to the day raises it by one: a screen compares it to see whether it is current.
    revision = models.PositiveBigIntegerField(default=0)
    # A demo or bench day runs on its own clock: at real time `clock_set_at` it shows
    # `clock_anchor` and runs `clock_rate` times as fast. Null: real time.
    clock_anchor = models.DateTimeField(null=True, blank=True)
    clock_set_at = models.DateTimeField(null=True, blank=True)
    clock_rate = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("1"))
    closed_for_billing_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-date", "name"]
        constraints = [
            models.UniqueConstraint(fields=["venue", "date", "name"], name="trackday_once"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.date:%d %b %Y}"


class RunGroup(models.Model):
    business_columns = ("letter", "name", "pace")

    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="groups")
    letter = models.CharField(max_length=4)
    name = models.CharField(max_length=60, blank=True)
    pace = models.CharField(
        max_length=6, choices=Pace.choices, blank=True, help_text=_("empty: nobody said")
    )
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "letter"]
        constraints = [
            models.UniqueConstraint(fields=["trackday", "letter"], name="trackday_group_once"),
        ]

    def __str__(self) -> str:
        return self.letter


class Session(models.Model):
    """One slot of one run group. ``actual_*`` only where a person tapped a flag."""

    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="sessions")
    group = models.ForeignKey(RunGroup, on_delete=models.CASCADE, related_name="sessions")
    number = models.PositiveSmallIntegerField(help_text=_("1 is the group's first of the day"))
    planned_start = models.DateTimeField()
    planned_end = models.DateTimeField()
    actual_start = models.DateTimeField(null=True, blank=True)
    actual_end = models.DateTimeField(null=True, blank=True)
    cut_short = models.BooleanField(default=False)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    added = models.BooleanField(default=False, help_text=_("not in the printed timetable"))

    class Meta:
        ordering = ["planned_start", "group"]
        constraints = [
            models.UniqueConstraint(fields=["group", "number"], name="trackday_session_once"),
            models.CheckConstraint(
                condition=models.Q(planned_end__gt=models.F("planned_start")),
                name="trackday_session_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.group} {self.number}"


class Delay(models.Model):
    """Minutes added to every session planned at or after ``from_planned``.

    Negative minutes undo. ``until_planned`` (exclusive) ends the delay at a later
    session when the organiser means to catch up.
    """

    personal_columns = ("reason",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="delays")
    minutes = models.SmallIntegerField()
    from_planned = models.DateTimeField()
    until_planned = models.DateTimeField(null=True, blank=True)
    # Named: it moves this one session alone, as when two groups trade places.
    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.minutes:+d} min"


class ServicePackage(models.Model):
    """What a customer books. Prices are billing's, rules for tasks are worklist's."""

    business_columns = ("code", "name", "description")

    code = models.SlugField(unique=True)
    name = models.CharField(max_length=80)
    description = models.TextField(blank=True)
    follow_ups = models.PositiveSmallIntegerField(
        default=0, help_text=_("how many follow-ups between sessions are included")
    )
    advice_only = models.BooleanField(default=False)
    order = models.PositiveSmallIntegerField(default=0)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["order", "name"]

    def __str__(self) -> str:
        return self.name


class Entry(models.Model):
    """One bike and rider booked for one trackday in one run group."""

    personal_columns = ("number", "bay", "ref", "complaint", "note")

    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="entries")
    group = models.ForeignKey(RunGroup, on_delete=models.PROTECT, related_name="entries")
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="entries")
    rider = models.ForeignKey(Rider, on_delete=models.PROTECT, related_name="entries")
    payer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="entries_paid")
    package = models.ForeignKey(ServicePackage, on_delete=models.PROTECT, related_name="+")
    number = models.CharField(max_length=8, blank=True, help_text=_("start number, never a key"))
    bay = models.CharField(max_length=12, blank=True)
    ref = models.CharField(max_length=60, blank=True, help_text=_("the organiser's own reference"))
    complaint = models.CharField(
        max_length=200, blank=True, help_text=_("what the rider booked for")
    )
    note = models.TextField(blank=True)
    late = models.BooleanField(default=False, help_text=_("came late: safety, pressures, count"))
    absence = models.CharField(
        max_length=9,
        choices=Absence.choices,
        blank=True,
        help_text=_("why it is off the day; empty: it is expected, or here"),
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["group", "number", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["trackday", "bike", "rider"], name="trackday_entry_once"
            ),
            models.UniqueConstraint(
                fields=["trackday", "ref"],
                condition=~models.Q(ref=""),
                name="trackday_entry_ref_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number or '-'} {self.bike}"


class SharedDay(models.Model):
    """One bike's day that its customer shows to whoever has the link (``sharing.py``)."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="+")
    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="+")
    link_version = models.PositiveIntegerField(help_text=_("of the customer's links, when made"))
    made_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "customer", "link_version"],
                condition=models.Q(withdrawn_at=None),
                name="trackday_shared_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry}, shared"


class BikeMove(models.Model):
    """What a person said about where a bike is; without one, the timetable tells."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="moves")
    move = models.CharField(max_length=16, choices=Move.choices)
    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.entry} {self.move}"


class GroupChange(models.Model):
    """A rider moved to another run group: sessions from then on are the new group's."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="group_changes")
    from_group = models.ForeignKey(RunGroup, on_delete=models.PROTECT, related_name="+")
    to_group = models.ForeignKey(RunGroup, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.entry} {self.from_group} -> {self.to_group}"


class RiderChange(models.Model):
    """From that moment on another rider rides the bike."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="rider_changes")
    from_rider = models.ForeignKey(Rider, on_delete=models.PROTECT, related_name="+")
    to_rider = models.ForeignKey(Rider, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.entry}: {self.from_rider} -> {self.to_rider}"


class Conditions(models.Model):
    """Weather and track, entered once; every outing from then on has these conditions."""

    business_columns = ("wind",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="conditions")
    at = models.DateTimeField()
    air_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    track_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    wet = models.BooleanField(default=False)
    wind = models.CharField(max_length=80, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]
        verbose_name_plural = "conditions"

    def __str__(self) -> str:
        return f"{'wet' if self.wet else 'dry'}, track {self.track_c}"


class CrewDay(models.Model):
    """From when to when one crew member works on one day, and when at lunch."""

    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="crew")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    joins_at = models.DateTimeField(null=True, blank=True)
    leaves_at = models.DateTimeField(null=True, blank=True)
    lunch_from = models.DateTimeField(null=True, blank=True)
    lunch_to = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["trackday", "user"], name="trackday_crew_once"),
        ]

    def __str__(self) -> str:
        return str(self.user)
