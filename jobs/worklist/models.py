"""What is to be done on each bike, and what was: checklists, marks on tasks, holds.

A task is never stored. It is derived from entry, session and checklist item; its id is
derived too, so it survives every delay. Stored are only the marks people made on it.
"""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs import planning
from jobs.garage.enums import End
from jobs.garage.models import Bike
from jobs.people.reader_words import ReaderCharField, ReaderTextField
from jobs.setups.models import BikePhoto
from jobs.trackday.models import Entry, ServicePackage, Session, Trackday

from .enums import Anchor, Cadence, ItemKind, Mark, OnlyIf, Skill


class Checklist(models.Model):
    """One version of one checklist. A changed checklist is a new version."""

    business_columns = ("code", "name")

    code = models.SlugField()
    version = models.PositiveSmallIntegerField(default=1)
    name = ReaderCharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)
    packages = models.ManyToManyField(ServicePackage, related_name="+", blank=True)

    class Meta:
        ordering = ["order", "code", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["code", "version"], name="worklist_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}"


class ChecklistItem(models.Model):
    """One task of a checklist: how long, who, when, and what is entered on ticking it."""

    business_columns = ("code", "text", "help", "points", "readings", "after")

    checklist = models.ForeignKey(Checklist, on_delete=models.CASCADE, related_name="items")
    code = models.SlugField()
    text = ReaderCharField(max_length=120)
    help = ReaderTextField(blank=True, help_text=_("how, and the caution that belongs to the step"))
    kind = models.CharField(max_length=8, choices=ItemKind.choices, default=ItemKind.TICK)
    # Points of a POINTS item: [{"code": "pads", "text": "..."}]; a failed one holds the bike.
    points = models.JSONField(default=list, blank=True)
    # Readings of a READING item: [{"kind": "pressure", "end": "front"}].
    readings = models.JSONField(default=list, blank=True)
    end = models.CharField(max_length=5, choices=End.choices, blank=True)
    safety = models.BooleanField(default=False)
    minutes = models.PositiveSmallIntegerField()
    # What marks of earlier days taught (``services.learning``); null until there are enough.
    learned_minutes = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    learned_marks = models.PositiveIntegerField(default=0)
    minutes_by_hand = models.BooleanField(
        default=False, help_text=_("plan with the minutes above, whatever was learned")
    )
    people = models.PositiveSmallIntegerField(default=1)
    skill = models.CharField(max_length=6, choices=Skill.choices, default=Skill.HELPER)
    for_advice = models.BooleanField(
        default=False, help_text=_("also where the package is advice only")
    )
    rider_needed = models.BooleanField(default=False)
    movable = models.BooleanField(
        default=False, help_text=_("may be done between two later sessions instead")
    )
    cadence = models.CharField(max_length=9, choices=Cadence.choices)
    opens_from = models.CharField(max_length=7, choices=Anchor.choices)
    opens_minutes = models.SmallIntegerField(default=0)
    closes_from = models.CharField(max_length=7, choices=Anchor.choices)
    closes_minutes = models.SmallIntegerField(default=0)
    before_session = models.PositiveSmallIntegerField(
        default=1,
        help_text=_("for work done once: the roll of which of the bike's sessions ends it"),
    )
    # Hot reads must START by the window's end; other work must END by it.
    must_start = models.BooleanField(default=False)
    only_if = models.CharField(max_length=20, blank=True, choices=OnlyIf.choices)
    after = models.JSONField(default=list, blank=True, help_text=_("codes of items to end first"))
    miss_cost = models.PositiveIntegerField(default=10)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["checklist", "order", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["checklist", "code"], name="worklist_item_once"),
        ]

    def __str__(self) -> str:
        return self.text

    @property
    def planned_minutes(self) -> int:
        """What it is planned with: learned, unless somebody has decided for the checklist's own."""
        if self.learned_minutes is None or self.minutes_by_hand:
            return self.minutes
        return max(1, round(self.learned_minutes))

    @property
    def arrival_check(self) -> bool:
        """A safety check made once, on arrival: it comes before anything else on the bike."""
        return self.safety and self.cadence == Cadence.ONCE


class DayChecklist(models.Model):
    """The version a day started with, kept whatever is edited later."""

    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="checklists")
    checklist = models.ForeignKey(Checklist, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["checklist__order"]
        constraints = [
            models.UniqueConstraint(fields=["trackday", "checklist"], name="worklist_day_once"),
        ]

    def __str__(self) -> str:
        return f"{self.trackday}: {self.checklist}"


class TaskMark(models.Model):
    """Somebody started, did or skipped a task. Two people ticking: both are kept."""

    personal_columns = ("reason", "words")
    business_columns = ("points",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    task_id = models.UUIDField(db_index=True)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="marks")
    session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    item = models.ForeignKey(ChecklistItem, on_delete=models.PROTECT, related_name="+")
    mark = models.CharField(max_length=8, choices=Mark.choices)
    reason = models.CharField(max_length=200, blank=True)
    points = models.JSONField(default=dict, blank=True, help_text=_("pass, fail or not_checked"))
    wheel_touched = models.BooleanField(
        default=False, help_text=_("a wheel, axle or caliper was touched on the way")
    )
    words = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField()
    accepted_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return f"{self.item} {self.mark}"


class Hold(models.Model):
    """A safety stop on a bike. Anyone raises it; only a tuner releases the one they saw."""

    personal_columns = ("words", "release_reason")
    business_columns = ("point",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="holds")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="holds")
    words = models.CharField(max_length=300)
    item = models.ForeignKey(
        ChecklistItem, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    point = models.CharField(max_length=40, blank=True)
    photo = models.ForeignKey(
        BikePhoto, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    raised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    raised_at = models.DateTimeField()
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    released_at = models.DateTimeField(null=True, blank=True)
    release_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["raised_at"]
        indexes = [
            models.Index(
                fields=["bike"],
                condition=models.Q(released_at__isnull=True),
                name="worklist_open_holds",
            ),
        ]

    def __str__(self) -> str:
        return self.words


class DayPlan(models.Model):
    """The plan in force: each task's slot, what will not fit, and what it was made from."""

    business_columns = (
        "slots",
        "windows",
        "crew",
        "given",
        "missed",
        "relief",
        "offer",
        "chances",
        "stopped_by",
        "input_hash",
    )

    trackday = models.OneToOneField(Trackday, on_delete=models.CASCADE, related_name="+")
    # Minutes are elapsed since local midnight: {task: [start, [user ids]]}, {task: windows}.
    slots = models.JSONField(default=dict)
    windows = models.JSONField(default=dict)
    crew = models.JSONField(default=list)
    given = models.JSONField(default=dict, help_text=_("what people have decided"))
    missed = models.JSONField(default=list, help_text=_("tasks with reasons, most costly first"))
    # What would help, once the background has counted it: {"helper": ..., "moved": ...}.
    relief = models.JSONField(null=True, blank=True)
    # A better plan that waits for somebody to take it: ``planned.offer`` says its form.
    offer = models.JSONField(null=True, blank=True)
    # How likely follow-ups are, and the cost to expect: ``planned.chances`` says its form.
    chances = models.JSONField(null=True, blank=True)
    first_missed = models.PositiveIntegerField(
        default=0, help_text=_("arrival checks left out; fewer are better, whatever it costs")
    )
    cost = models.PositiveIntegerField()
    seed = models.PositiveIntegerField()
    iterations = models.PositiveIntegerField()
    stopped_by = models.CharField(max_length=12)
    input_hash = models.CharField(max_length=64)
    revision = models.PositiveBigIntegerField(help_text=_("the day's revision it was made at"))
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.trackday}, {self.cost}"

    @property
    def rank(self) -> tuple[int, int]:
        """The lower, the better, as ``jobs.planning.Plan.rank``."""
        return self.first_missed, self.cost


class DayStatements(models.Model):
    """What was said of a day while it ran, and what earlier days taught of such statements."""

    business_columns = ("learned", "follow_ups", "cost", "came")

    trackday = models.OneToOneField(Trackday, on_delete=models.CASCADE, related_name="+")
    # Of the logarithm of minutes; ``learned`` is a ``jobs.planning.Experience``.
    spread = models.FloatField(default=planning.NOISE)
    learned = models.JSONField(default=dict)
    # {task: [a ``jobs.planning.Statement``, ...]}
    follow_ups = models.JSONField(default=dict)
    # {"planned", "replayed", "tasks": {task: cost of missing it}}; empty: nothing was said.
    cost = models.JSONField(default=dict)
    # Once a later day begins: {"follow_ups": {task: done}, "cost": of what was missed or null}
    came = models.JSONField(default=dict)

    class Meta:
        verbose_name_plural = "statements of days"

    def __str__(self) -> str:
        return f"{self.trackday}"


class PlanWish(models.Model):
    """What a person decided about one task: by whom, at what time, moved or dropped."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    trackday = models.ForeignKey(Trackday, on_delete=models.CASCADE, related_name="+")
    task_id = models.UUIDField()
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    start_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    dropped = models.BooleanField(default=False)
    # Moved: to be done when the bike is back from this session instead.
    after_session = models.ForeignKey(
        Session, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    accepted_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["accepted_at"]

    def __str__(self) -> str:
        return f"{self.task_id}: {self.person or _('dropped')}"
