from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


class ItemKind(models.TextChoices):
    TICK = "tick", _("tick")
    POINTS = "points", _("points, each pass or fail")
    READING = "reading", _("readings")
    COUNT = "count", _("clicker count")
    WORDS = "words", _("words")
    PHOTO = "photo", _("photo")
    JUDGE = "judge", _("judge what was expected")


class Cadence(models.TextChoices):
    ONCE = "once", _("once, before the first session")
    EVERY = "every", _("after every session")
    FOLLOW_UP = "follow_up", _("after a session, as often as the package includes")
    BEFORE = "before", _("before every session")
    LAST = "last", _("after the last session")


class Anchor(models.TextChoices):
    """What a window's ends are counted from, in minutes."""

    ARRIVAL = "arrival", _("arrival")
    STOP = "stop", _("the stop")
    ROLL = "roll", _("the roll")
    CLOSE = "close", _("the end of the day")


class Skill(models.TextChoices):
    HELPER = "helper", _("helper")
    TUNER = "tuner", _("tuner")


class Mark(models.TextChoices):
    STARTED = "started", _("started")
    DONE = "done", _("done")
    SKIPPED = "skipped", _("skipped")


class OnlyIf(models.TextChoices):
    """Rules of the day that decide whether an item is asked for at all."""

    CHANGED = "changed", _("only after a change")
    WHEEL_TOUCHED = "wheel_touched", _("only if a wheel, axle or caliper was touched")
    TO_JUDGE = "to_judge", _("only if something is expected and not judged")
    NEW_CUSTOMER = "new_customer", _("only on a bike's first day with us")
    ON_TIME = "on_time", _("not for a late arrival")


class TaskState(models.TextChoices):
    """Where a task stands; derived, never stored."""

    DONE = "done", _("done")
    SKIPPED = "skipped", _("skipped")
    STARTED = "started", _("started")
    OPEN = "open", _("open")
    LATER = "later", _("later")
    MISSED = "missed", _("missed")


class Point(models.TextChoices):
    """What was found at one point of a checklist item."""

    PASS = "pass", _("pass")
    FAIL = "fail", _("fail")
    NOT_CHECKED = "not_checked", _("not checked")


class BikeState(models.TextChoices):
    """A bike's state in a word. “Nothing open” is the most that is ever said."""

    NOT_ARRIVED = "not_arrived", _("not arrived")
    OUT = "out", pgettext_lazy("of a bike", "out")
    DUE_IN = "due_in", _("due in")
    HELD = "held", _("held")
    OPEN = "open", _("open")
    IN = "in", pgettext_lazy("of a bike", "in")
    NOT_CHECKED = "not_checked", _("not checked")
    NOTHING_OPEN = "nothing_open", _("nothing open")
    DID_NOT_GO_OUT = "did_not_go_out", _("did not go out")
    GONE_HOME = "gone_home", _("gone home")
