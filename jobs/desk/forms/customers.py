from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.people.enums import TaxStatus
from jobs.people.form_fields import CountryField
from jobs.people.languages import language_select
from jobs.people.models import Customer, Rider
from jobs.people.selectors import business_get
from jobs.people.tax_ids import vat_id_checked


class CustomerForm(forms.ModelForm[Customer]):
    country = CountryField(label=_("Country"), none_says=_("as the business"))

    class Meta:
        model = Customer
        fields = (
            "name", "email", "phone", "street", "postcode", "city", "country", "tax_id",
            "tax_status", "tax_reason", "language", "note",
        )  # fmt: skip
        labels = {
            "email": _("E-mail"),
            "tax_id": _("VAT ID"),
            "tax_status": _("Tax"),
            "tax_reason": _("Reason for the exemption"),
            "language": _("Language of letters and pages"),
        }
        widgets = {"language": language_select(_("as the business"))}

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"]
        return email.lower()

    def clean(self) -> dict[str, Any]:
        """Without a VAT ID that can be right, and without a reason, nobody is relieved of tax."""
        found: dict[str, Any] = super().clean() or self.cleaned_data
        status = found.get("tax_status")
        if status == TaxStatus.REVERSE:
            country = found.get("country") or business_get().country
            try:
                found["tax_id"] = vat_id_checked(found.get("tax_id") or "", country)
            except ValueError as error:
                self.add_error("tax_id", str(error))
        if status == TaxStatus.EXEMPT and not found.get("tax_reason"):
            self.add_error("tax_reason", _("Say why: the reason is printed on the invoice."))
        return found


class RiderForm(forms.ModelForm[Rider]):
    class Meta:
        model = Rider
        fields = ("name", "phone", "weight_in_kit_kg", "aim")
        labels = {"weight_in_kit_kg": _("Weight in kit, kg"), "aim": _("Aim")}
