from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.people.form_fields import CountryField
from jobs.people.models import Customer, Rider


class CustomerForm(forms.ModelForm[Customer]):
    country = CountryField(label=_("Country"), none_says=_("as the business"))

    class Meta:
        model = Customer
        fields = (
            "name", "email", "phone", "street", "postcode", "city", "country", "tax_id",
            "language", "note",
        )  # fmt: skip
        labels = {
            "email": _("E-mail"),
            "tax_id": _("Tax number"),
        }

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"]
        return email.lower()


class RiderForm(forms.ModelForm[Rider]):
    class Meta:
        model = Rider
        fields = ("name", "phone", "weight_in_kit_kg", "aim")
        labels = {"weight_in_kit_kg": _("Weight in kit, kg"), "aim": _("Aim")}
