"""The price list, rates and terms as forms; what is right together is the services' business."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from jobs.billing.enums import DocumentKind
from jobs.billing.models import PriceItem, Series, TaxRate, Terms
from jobs.billing.selectors.prices import terms_get


class PriceForm(forms.ModelForm[PriceItem]):
    """One line of the price list. Codes are made from the name and never shown."""

    class Meta:
        model = PriceItem
        fields = (
            "name", "kind", "package", "price", "percent", "unit", "travel", "part_number",
            "fitting_kind", "tax_code", "order",
        )  # fmt: skip
        labels = {
            "name": lazy("Name, as printed"),
            "kind": lazy("What it is"),
            "package": lazy("Service package"),
            "price": lazy("Price"),
            "percent": lazy("Percent off"),
            "travel": lazy("How travel is charged"),
            "part_number": lazy("Part number"),
            "fitting_kind": lazy("Charged by itself when fitting a"),
            "tax_code": lazy("Tax rate"),
            "order": lazy("Place in the list"),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        codes = sorted(set(TaxRate.objects.values_list("code", flat=True)) | {"standard"})
        self.fields["tax_code"] = forms.ChoiceField(
            label=_("Tax rate"), choices=[(code, code) for code in codes]
        )
        included = terms_get().prices_include_tax
        self.fields["price"].help_text = _("with tax") if included else _("without tax")
        self.fields["order"].required = False

    def clean_order(self) -> int:
        return self.cleaned_data["order"] or 0

    def _post_clean(self) -> None:
        """The service checks the whole; an instance half changed would mislead it."""


class RateForm(forms.ModelForm[TaxRate]):
    class Meta:
        model = TaxRate
        fields = (
            "code", "name", "jurisdiction", "percent", "category", "exemption", "valid_from",
        )  # fmt: skip
        labels = {
            "code": lazy("For things of the kind"),
            "percent": lazy("Percent"),
            "valid_from": lazy("From"),
            "exemption": lazy("Reason, where no tax is charged"),
        }
        help_texts = {
            "code": lazy("One word, such as standard or reduced"),
            "jurisdiction": lazy("Only where several lie on one line, such as state and county"),
        }
        widgets = {"valid_from": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})}

    def _post_clean(self) -> None:
        """See PriceForm."""


class RateEndForm(forms.ModelForm[TaxRate]):
    """All that can change of a rate which an invoice carries."""

    class Meta:
        model = TaxRate
        fields = ("valid_to",)
        labels = {"valid_to": lazy("Last day")}
        help_texts = {"valid_to": lazy("Empty: it goes on.")}
        widgets = {"valid_to": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})}

    def _post_clean(self) -> None:
        """See PriceForm."""


class RateCorrectForm(RateForm):
    """A rate that no invoice carries yet."""

    valid_to = forms.DateField(
        label=lazy("Last day"),
        required=False,
        help_text=RateEndForm.Meta.help_texts["valid_to"],
        widget=RateEndForm.Meta.widgets["valid_to"],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["valid_to"].initial = self.instance.valid_to


class TermsForm(forms.ModelForm[Terms]):
    scale = forms.CharField(
        label=lazy("Cancellation"),
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=lazy("One step a line: days before the day, and the percent charged. 14: 25"),
    )
    account_numbers = forms.CharField(
        label=lazy("Account numbers of the journal"),
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text=lazy("One a line, the accountant's own. sales: 4000"),
    )
    picture = forms.FileField(
        label=lazy("Logo"),
        required=False,
        help_text=lazy("PNG, JPEG or WebP; drawn anew, at most 900 x 300"),
    )

    class Meta:
        model = Terms
        fields = (
            "scheme", "prices_include_tax", "payment_days", "quote_days", "deposit_percent",
            "tax_advances", "travel", "no_show_percent", "weather_percent", "payment_text",
            "footer", "reminder_days", "reminder_text", "reminder_second", "reminder_last",
        )  # fmt: skip
        labels = {
            "scheme": lazy("The business is"),
            "prices_include_tax": lazy("Prices include tax"),
            "payment_days": lazy("Days to pay"),
            "quote_days": lazy("Days a quote is valid"),
            "deposit_percent": lazy("Deposit, percent of the quote"),
            "tax_advances": lazy("Deposits are taxed when received"),
            "travel": lazy("Travel on every day"),
            "no_show_percent": lazy("Not coming at all, percent"),
            "weather_percent": lazy("Called off for weather, percent"),
            "payment_text": lazy("Printed under the total"),
            "footer": lazy("Printed at the foot"),
            "reminder_days": lazy("Days to pay after a reminder"),
            "reminder_text": lazy("Your own words in a reminder"),
            "reminder_second": lazy("In the second reminder"),
            "reminder_last": lazy("In the last reminder"),
        }
        widgets = {
            name: forms.Textarea(attrs={"rows": 3})
            for name in ("reminder_text", "reminder_second", "reminder_last")
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["travel"].queryset = PriceItem.objects.filter(kind="travel")  # type: ignore[attr-defined]
        self.fields["scale"].initial = "\n".join(
            f"{days}: {percent}" for days, percent in self.instance.cancellation_scale
        )
        self.fields["account_numbers"].initial = "\n".join(
            f"{name}: {number}" for name, number in self.instance.accounts.items()
        )

    def clean_scale(self) -> list[list[int]]:
        steps = []
        for line in self.cleaned_data["scale"].splitlines():
            days, _colon, percent = line.partition(":")
            try:
                steps.append([int(days), int(percent.strip().rstrip("%"))])
            except ValueError:
                raise forms.ValidationError(
                    _("“%(line)s” is not days and percent, such as 14: 25.") % {"line": line}
                ) from None
        return steps

    def clean_account_numbers(self) -> dict[str, str]:
        found: dict[str, str] = {}
        for line in self.cleaned_data["account_numbers"].splitlines():
            name, _colon, number = (part.strip() for part in line.partition(":"))
            if name not in self.instance.accounts or not number:
                raise forms.ValidationError(
                    _("“%(line)s” is not an account and its number, such as sales: 4000.")
                    % {"line": line}
                )
            found[name] = number
        accounts: dict[str, str] = self.instance.accounts
        return accounts | found

    def values(self) -> dict[str, Any]:
        """For the service; the logo apart."""
        found = {name: self.cleaned_data[name] for name in self._meta.fields or ()}
        return found | {
            "cancellation_scale": self.cleaned_data["scale"],
            "accounts": self.cleaned_data["account_numbers"],
        }

    def _post_clean(self) -> None:
        """See PriceForm."""


class NumbersForm(forms.Form):
    """How the numbers of one kind of document begin."""

    letters = forms.CharField(label=lazy("Before the number"), max_length=12)
    first = forms.IntegerField(label=lazy("First number"), min_value=1, required=False)

    def __init__(self, data: Any = None, *, series: Series) -> None:
        initial = {"letters": series.prefix, "first": series.next}
        super().__init__(data, initial=initial, prefix=series.kind)
        self.kind = DocumentKind(series.kind)
        self.printed = f"{series.prefix}{series.next:05d}"
        if series.pk:
            del self.fields["first"]
        else:
            self.fields["first"].help_text = _("Going on from another book: the one after its last")
