from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from jobs.tuning.terms import RiderPace


class Pace(models.TextChoices):
    """How fast a run group rides, among the groups of its day."""

    NOVICE = RiderPace.NOVICE.value, _("novice")
    MIDDLE = RiderPace.MIDDLE.value, _("middle")
    QUICK = RiderPace.QUICK.value, _("quick")


class Absence(models.TextChoices):
    """Why a booked bike is off the day."""

    CANCELLED = "cancelled", _("cancelled by the customer")
    NO_SHOW = "no_show", _("did not come")
    WEATHER = "weather", _("called off for weather")
    BY_US = "by_us", _("cancelled by us")


class SessionState(models.TextChoices):
    PLANNED = "planned", _("planned")
    RUNNING = "running", _("running")
    FINISHED = "finished", _("finished")
    CUT_SHORT = "cut_short", _("cut short")
    CANCELLED = "cancelled", _("cancelled")


class Move(models.TextChoices):
    """What a person said about where a bike is."""

    ARRIVED = "arrived", _("arrived")
    BIKE_IN = "bike_in", pgettext_lazy("of a bike", "in")
    BIKE_OUT = "bike_out", pgettext_lazy("of a bike", "out")
    DID_NOT_GO_OUT = "did_not_go_out", _("did not go out")
    GONE_HOME = "gone_home", _("gone home")


class BikePlace(models.TextChoices):
    """Where a bike is: by the timetable, unless a person has said otherwise."""

    NOT_ARRIVED = "not_arrived", _("not arrived")
    OUT = "out", pgettext_lazy("of a bike", "out")
    DUE_IN = "due_in", _("due in")
    IN = "in", pgettext_lazy("of a bike", "in")
    DID_NOT_GO_OUT = "did_not_go_out", _("did not go out")
    GONE_HOME = "gone_home", _("gone home")
