from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


class Scheme(models.TextChoices):
    """How the business stands towards tax on what it sells."""

    VAT = "vat", _("registered for VAT")
    SALES_TAX = "sales_tax", _("collects sales tax (one or several components)")
    NOT_REGISTERED = "none", _("not registered for tax")


class TaxCategory(models.TextChoices):
    """UNCL5305, the codes EN 16931 allows that a business like this can meet."""

    STANDARD = "S", _("taxed")
    ZERO = "Z", _("zero rated")
    EXEMPT = "E", _("exempt")
    REVERSE = "AE", _("reverse charge")
    OUTSIDE = "O", _("not subject to tax")


class PriceKind(models.TextChoices):
    PACKAGE = "package", _("service package")
    SETUP = "setup", _("single setup")
    EXTRA_SESSION = "extra", _("extra session")
    ADVICE = "advice", _("advice only")
    LABOUR = "labour", _("labour")
    PART = "part", _("part")
    TRAVEL = "travel", pgettext_lazy("to the track", "travel")
    DISCOUNT = "discount", _("discount")


# Lines that can be the price of a service package.
PACKAGE_KINDS = frozenset({PriceKind.PACKAGE, PriceKind.SETUP, PriceKind.ADVICE})


class PriceUnit(models.TextChoices):
    """UN/ECE Recommendation 20 unit codes, as an electronic invoice carries them."""

    PIECE = "C62", _("each")
    HOUR = "HUR", _("hour")
    MINUTE = "MIN", _("minute")
    DAY = "DAY", _("day")
    LITRE = "LTR", _("litre")
    KILOMETRE = "KMT", _("km")
    METRE = "MTR", _("m")


class TravelPricing(models.TextChoices):
    FLAT = "flat", _("the same for every customer")
    SHARED = "shared", _("one sum shared by the day's customers")
    DISTANCE = "distance", _("per km, there and back")


class DocumentKind(models.TextChoices):
    QUOTE = "quote", _("Quote")
    DEPOSIT_REQUEST = "deposit", _("Deposit request")
    PREPAYMENT_INVOICE = "prepayment", _("Prepayment invoice")
    INVOICE = "invoice", _("Invoice")
    CREDIT_NOTE = "credit", _("Credit note")


# UNTDID 1001 document type codes. A quote and a deposit request are no tax documents.
TYPE_CODES = {
    DocumentKind.INVOICE: "380",
    DocumentKind.CREDIT_NOTE: "381",
    DocumentKind.PREPAYMENT_INVOICE: "386",
}
TAX_DOCUMENTS = frozenset(TYPE_CODES)


class FileKind(models.TextChoices):
    PDF = "pdf", "PDF"
    CII = "cii", "XML"


class PaymentKind(models.TextChoices):
    PAYMENT = "payment", _("payment")
    REFUND = "refund", _("refund")
    WRITE_OFF = "write_off", _("written off")


class PaymentMethod(models.TextChoices):
    CASH = "cash", _("cash")
    CARD = "card", _("card")
    TRANSFER = "transfer", _("bank transfer")
    OTHER = "other", _("other")
    MOVED = "moved", _("moved")  # between an invoice and the customer's credit


class ReminderLevel(models.TextChoices):
    FIRST = "first", _("Reminder")
    SECOND = "second", _("Second reminder")
    LAST = "last", _("Last reminder")


class AllocationReason(models.TextChoices):
    """Why a row of the ledger was written."""

    ENTERED = "entered", _("entered")  # the payment or the credit note itself
    TAKEN = "taken", _("deposit taken into account")  # to an invoice, or back from one
    MOVED = "moved", _("moved")  # by hand, between a document and the account
    STRUCK = "struck", _("struck through")


class BankFileKind(models.TextChoices):
    CAMT = "camt", "camt.053"
    MT940 = "mt940", "MT940"
    LIST = "list", _("list")
