from django.db import models
from django.utils.translation import gettext_lazy as _


class SessionState(models.TextChoices):
    PLANNED = "planned", _("planned")
    RUNNING = "running", _("running")
    FINISHED = "finished", _("finished")
    CUT_SHORT = "cut_short", _("cut short")
    CANCELLED = "cancelled", _("cancelled")


class Move(models.TextChoices):
    """What a person said about where a bike is."""

    ARRIVED = "arrived", _("arrived")
    BIKE_IN = "bike_in", _("in")
    BIKE_OUT = "bike_out", _("out")
    DID_NOT_GO_OUT = "did_not_go_out", _("did not go out")
    GONE_HOME = "gone_home", _("gone home")


class Place(models.TextChoices):
    """Where a bike is: the timetable says it, until a person says otherwise."""

    NOT_ARRIVED = "not_arrived", _("not arrived")
    OUT = "out", _("out")
    DUE_IN = "due_in", _("due in")
    IN = "in", _("in")
    DID_NOT_GO_OUT = "did_not_go_out", _("did not go out")
    GONE_HOME = "gone_home", _("gone home")
