from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.people.models import Customer, Rider


class CustomerForm(forms.ModelForm):
    class Meta:
        model = Customer
        fields = (
            "name", "email", "phone", "street", "postcode", "city", "country", "tax_id",
            "language", "note",
        )  # fmt: skip
        labels = {
            "email": _("E-mail"),
            "country": _("Country code"),
            "tax_id": _("Tax number"),
        }

    def clean_email(self) -> str:
        return self.cleaned_data["email"].lower()

    def clean_country(self) -> str:
        return self.cleaned_data["country"].upper()


class RiderForm(forms.ModelForm):
    class Meta:
        model = Rider
        fields = ("name", "phone", "weight_in_kit_kg", "aim")
        labels = {"weight_in_kit_kg": _("Weight in kit, kg"), "aim": _("Aim")}
