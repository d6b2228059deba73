from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.tuning import terms


class RowKind(models.TextChoices):
    BASELINE = "baseline", _("counted")  # the first count of a day
    CHANGE = "change", _("changed")
    RECOUNT = "recount", _("found at")


class RowState(models.TextChoices):
    PLACED = "placed", _("in the book")
    UNPLACED = "unplaced", _("unplaced")
    WITHDRAWN = "withdrawn", _("withdrawn")


class Phase(models.TextChoices):
    BRAKING = terms.Phase.BRAKING.value, _("on the brakes")
    ENTRY = terms.Phase.ENTRY.value, _("going in")
    MID = terms.Phase.MID.value, _("mid-corner")
    EXIT = terms.Phase.EXIT.value, _("on the gas")
    STRAIGHT = terms.Phase.STRAIGHT.value, _("straight")
    ANY = terms.Phase.ANY.value, _("anywhere")


class Subject(models.TextChoices):
    BIKE = "bike", _("the bike")  # what tells it from its look-alike
    TYRE = "tyre", _("tyre")
    PART = "part", _("part")
    DAMAGE = "damage", _("damage")


class Verdict(models.TextChoices):
    SEEN = terms.Verdict.SEEN.value, _("seen")
    PARTLY = terms.Verdict.PARTLY.value, _("partly")
    NOT_SEEN = terms.Verdict.NOT_SEEN.value, _("not seen")
    NOT_TESTED = terms.Verdict.NOT_TESTED.value, _("not tested")


class ToldBy(models.TextChoices):
    """By what an expectation was judged."""

    RING = "ring", _("the ring")
    TYRE = "tyre", _("the tyre")
    PUSH = "push", _("a push")
    RIDER = "rider", _("the rider's words")
    PACE = "pace", _("lap times")


class SetupKind(models.TextChoices):
    ARRIVED = "arrived", _("arrived")
    DRY = "dry", _("dry")
    WET = "wet", _("wet")
    ROAD = "road", _("road")
    OWN = "own", _("own name")
