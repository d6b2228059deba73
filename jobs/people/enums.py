from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    TUNER = "tuner", _("tuner")
    HELPER = "helper", _("helper")
    OFFICE = "office", _("office")
    CUSTOMER = "customer", _("customer")


class TaxStatus(models.TextChoices):
    """How a customer is taxed, where it is not as everybody else."""

    REVERSE = "reverse", _("reverse charge: a business in another country pays the tax there")
    EXEMPT = "exempt", _("exempt")


class EditVerb(models.TextChoices):
    NEW = "new", _("entered")
    CHANGED = "changed", _("changed")
    IMPORTED = "imported", _("imported")
    REMOVED = "removed", _("removed")
    SENT = "sent", _("sent")
    EXPORTED = "exported", _("exported")


CREW = frozenset({Role.TUNER, Role.HELPER})
OFFICE_ROLES = frozenset({Role.TUNER, Role.OFFICE})
STAFF = frozenset({Role.TUNER, Role.HELPER, Role.OFFICE})
EVERY_ROLE = frozenset(Role)
