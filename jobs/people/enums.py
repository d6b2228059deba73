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


class TrailEvent(models.TextChoices):
    """What the trail keeps: its group, and what was done (see ``trail.py``)."""

    EXPORTED_ALL = "data.all", _("everything of the business exported")
    EXPORTED_CUSTOMER = "data.customer", _("everything of a customer exported")
    EXPORTED_BOOKS = "data.books", _("documents or journal exported")
    EXPORTED_SHEETS = "data.sheets", _("model sheets exported")
    EXPORTED_FINDINGS = "data.findings", _("findings of the business exported")
    DOCUMENT_OPENED = "data.document", _("the file of a document opened")
    STATEMENT_OPENED = "data.statement", _("a customer's statement opened")
    BACKUP_TAKEN = "data.backup", _("a backup downloaded")
    CUSTOMER_REMOVED = "data.removed", _("a customer removed")
    HOLD_RELEASED = "hold.released", _("a hold released")
    DOCUMENT_ISSUED = "money.issued", _("a document issued")
    QUOTE_ACCEPTED = "money.accepted", _("a quote accepted")
    PAYMENT_ENTERED = "money.payment", _("a payment entered")
    PAYMENT_WITHDRAWN = "money.withdrawn", _("a payment struck through")
    CREDIT_MOVED = "money.credit", _("credit moved")
    BANK_FILE_TAKEN = "money.bank", _("a bank's file taken in")
    BANK_SUM_ASIDE = "money.aside", _("a sum from the bank set aside")
    BANK_SUM_BACK = "money.unaside", _("a sum from the bank brought back")
    CHARGE_ADDED = "money.charge", _("a charge added")
    CHARGE_OVERRULED = "money.overruled", _("a charge overruled")
    CHARGE_WITHDRAWN = "money.uncharged", _("a charge withdrawn")
    DAY_CLOSED = "money.closed", _("a day closed for billing")
    MONTH_CLOSED = "money.month", _("a month of the books closed")
    MONTH_OPENED = "money.reopened", _("a closed month of the books opened again")
    PRICE_CHANGED = "money.price", _("a price changed")
    RATE_CHANGED = "money.rate", _("a tax rate entered or changed")
    TERMS_CHANGED = "money.terms", _("the terms changed")
    NUMBERS_BEGUN = "money.numbers", _("numbers of documents begun")
    BUSINESS_CHANGED = "money.business", _("details of the business changed")
    MAIL_SERVER_CHANGED = "rights.mail", _("the mail server changed")
    CREW_ENTERED = "rights.entered", _("a crew member entered")
    CREW_CHANGED = "rights.changed", _("a crew member changed")
    PASSWORD_SET = "rights.password", _("a password set")
    PIN_SET = "rights.pin", _("a PIN set")
    FACTOR_ON = "rights.factor-on", _("a second factor switched on")
    FACTOR_OFF = "rights.factor-off", _("a second factor switched off")
    PASSKEY_ADDED = "rights.passkey", _("a passkey added")
    PASSKEY_REMOVED = "rights.passkey-off", _("a passkey removed")
    SIGNIN_LINK_MADE = "rights.signin", _("a sign-in link made on the server")
    LINK_SENT = "rights.link", _("a customer's link sent")
    LINKS_WITHDRAWN = "rights.unlink", _("a customer's links withdrawn")
    SAME_PERSON = "rights.same", _("two customers linked or taken apart")
    DEVICE_ENROLLED = "rights.enrolled", _("a tablet enrolled")
    DEVICE_SHUT_OUT = "rights.shut-out", _("a tablet shut out")


CREW = frozenset({Role.TUNER, Role.HELPER})
OFFICE_ROLES = frozenset({Role.TUNER, Role.OFFICE})
STAFF = frozenset({Role.TUNER, Role.HELPER, Role.OFFICE})
EVERY_ROLE = frozenset(Role)
