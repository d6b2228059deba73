"""The price list, rates and terms as forms; what is right together is the services' business."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from jobs.billing.enums import DocumentKind
from jobs.billing.models import PriceItem, Series, TaxRate, Terms
from jobs.billing.selectors.prices import terms_get
from jobs.people.models import NamedCrew


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


SPARE_STEPS = 2
STEP_LABELS = {
    "days": lazy("Days before the day, at least"),
    "percent": lazy("Percent charged"),
}
ACCOUNTS = {
    "receivable": lazy("Owed by customers"),
    "bank": lazy("Bank"),
    "cash": lazy("Cash"),
    "sales": lazy("Sales"),
    "tax": lazy("Tax on sales"),
    "advances": lazy("Deposits received"),
    "written_off": lazy("Written off"),
    "rounding": lazy("Rounding"),
}


class TermsForm(forms.ModelForm[Terms]):
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
        self._add_scale()
        self._add_accounts()

    def _add_scale(self) -> None:
        """Two numbers a step, with room for more of them."""
        steps = [*self.instance.cancellation_scale, *[("", "")] * SPARE_STEPS]
        self.steps = [(f"days_{n}", f"percent_{n}") for n in range(len(steps))]
        for names, values in zip(self.steps, steps, strict=True):
            for name, value, most in zip(names, values, (400, 100), strict=True):
                self.fields[name] = forms.IntegerField(
                    label=STEP_LABELS[name.partition("_")[0]],
                    initial=value,
                    min_value=0,
                    max_value=most,
                    required=False,
                )

    def _add_accounts(self) -> None:
        for account, label in ACCOUNTS.items():
            self.fields[f"account_{account}"] = forms.CharField(
                label=label,
                initial=self.instance.accounts.get(account, ""),
                max_length=20,
                required=False,
            )

    @property
    def usual_fields(self) -> list[forms.BoundField]:
        """All but the steps of the scale and the accounts, which stand apart."""
        apart = {name for pair in self.steps for name in pair}
        return [
            field
            for field in self
            if field.name not in apart and not field.name.startswith("account_")
        ]

    @property
    def scale_rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[days], self[percent]) for days, percent in self.steps]

    @property
    def account_fields(self) -> list[forms.BoundField]:
        return [self[f"account_{account}"] for account in ACCOUNTS]

    def clean(self) -> dict[str, Any]:
        found: dict[str, Any] = super().clean() or self.cleaned_data
        for days, percent in self.steps:
            given = found.get(days), found.get(percent)
            if given.count(None) == 1 and not {days, percent} & set(self.errors):
                missing = days if given[0] is None else percent
                self.add_error(missing, _("A step has both: days and percent."))
        return found

    def values(self) -> dict[str, Any]:
        """For the service; the logo apart."""
        found = {name: self.cleaned_data[name] for name in self._meta.fields or ()}
        steps = [[self.cleaned_data[name] for name in pair] for pair in self.steps]
        return found | {
            "cancellation_scale": [step for step in steps if None not in step],
            "accounts": {one: self.cleaned_data[f"account_{one}"].strip() for one in ACCOUNTS},
        }

    def _post_clean(self) -> None:
        """See PriceForm."""


class CrewNameForm(forms.ModelForm[NamedCrew]):
    class Meta:
        model = NamedCrew
        fields = ("name",)
        labels = {"name": lazy("Name of the crew")}
        help_texts = {"name": lazy("Such as Van 2. A trackday can then name it.")}


class NumbersForm(forms.Form):
    """How the numbers of one kind of document begin."""

    letters = forms.CharField(label=lazy("Before the number"), max_length=12)
    first = forms.IntegerField(label=lazy("First number"), min_value=1, required=False)

    def __init__(self, data: Any = None, *, series: Series, instead: Series | None = None) -> None:
        """``instead``: the business's series, of which the numbers are while ``series`` has
        no letters."""
        initial = {"letters": series.prefix, "first": series.next}
        super().__init__(data, initial=initial, prefix=series.kind)
        self.kind, self.crew = DocumentKind(series.kind), series.crew
        shown = instead if instead and not series.prefix else series
        self.printed = f"{shown.prefix}{shown.next:05d}"
        if series.pk:
            del self.fields["first"]
        else:
            self.fields["first"].help_text = _("Going on from another book: the one after its last")
        if not series.prefix:
            self.fields["letters"].required = False
            self.fields["letters"].help_text = _("Empty: numbered with the business's own")
