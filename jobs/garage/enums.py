"""Choices for the database, in people's words, over the values of jobs.tuning.terms."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.tuning import terms


class End(models.TextChoices):
    FRONT = terms.End.FRONT.value, _("front")
    REAR = terms.End.REAR.value, _("rear")


class Leg(models.TextChoices):
    LEFT = terms.Leg.LEFT.value, _("left leg")
    RIGHT = terms.Leg.RIGHT.value, _("right leg")
    BOTH = terms.Leg.BOTH.value, _("both legs")


class Function(models.TextChoices):
    REBOUND = terms.AdjusterFunction.REBOUND.value, _("rebound")
    COMPRESSION = terms.AdjusterFunction.COMPRESSION.value, _("compression")
    COMPRESSION_HIGH = terms.AdjusterFunction.COMPRESSION_HIGH.value, _("high-speed compression")
    PRELOAD = terms.AdjusterFunction.PRELOAD.value, _("preload")
    SPRING = terms.AdjusterFunction.SPRING.value, _("spring rate")
    TUBE_HEIGHT = terms.AdjusterFunction.TUBE_HEIGHT.value, _("fork tube height")
    SHOCK_LENGTH = terms.AdjusterFunction.SHOCK_LENGTH.value, _("shock length")
    LINKAGE = terms.AdjusterFunction.LINKAGE.value, _("linkage")
    OIL_LEVEL = terms.AdjusterFunction.OIL_LEVEL.value, _("oil level")
    STEERING_DAMPER = terms.AdjusterFunction.STEERING_DAMPER.value, _("steering damper")
    TYRE_PRESSURE = terms.AdjusterFunction.TYRE_PRESSURE.value, _("tyre pressure")
    MODE = terms.AdjusterFunction.MODE.value, _("mode")


class Unit(models.TextChoices):
    CLICK = "click", _("clicks")
    TURN = "turn", _("turns")
    MM = "mm", _("mm")
    N_PER_MM = "N/mm", _("N/mm")
    KPA = "kPa", _("kPa")
    PSI = "psi", _("psi")
    BAR = "bar", _("bar")
    MARK = "mark", _("marks")
    LABEL = "label", _("position")


class Origin(models.TextChoices):
    CLOSED = terms.Origin.CLOSED.value, _("out from closed")
    OPEN = terms.Origin.OPEN.value, _("in from open")
    MARK = terms.Origin.MARK.value, _("from the mark")
    ZERO = terms.Origin.ZERO.value, _("measured")


class Firming(models.TextChoices):
    DOWN = terms.Firming.DOWN.value, _("fewer is firmer")
    UP = terms.Firming.UP.value, _("more is firmer")


class TravelPlace(models.TextChoices):
    FORK_LEG = terms.TravelPlace.FORK_LEG.value, _("on the fork leg")
    SHOCK_SHAFT = terms.TravelPlace.SHOCK_SHAFT.value, _("on the shock's shaft")
    WHEEL = terms.TravelPlace.WHEEL.value, _("at the wheel")


class OilState(models.TextChoices):
    COLD = terms.OilState.COLD.value, _("cold")
    WARM = terms.OilState.WARM.value, _("warm")
    HOT = terms.OilState.HOT.value, _("hot")


class TyreState(models.TextChoices):
    COLD = terms.TyreState.COLD.value, _("cold")
    WARMERS = terms.TyreState.WARMERS.value, _("off warmers")
    TRACK = terms.TyreState.TRACK.value, _("off track")


class FittingKind(models.TextChoices):
    TYRE = "tyre", _("tyre")
    SPRING = "spring", _("spring")
    OIL = "oil", _("oil")
    GEARING = "gearing", _("gearing")
    LINKAGE = "linkage", _("linkage")
