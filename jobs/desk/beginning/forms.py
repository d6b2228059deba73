"""What the steps of the beginning ask, each with a default that most can keep."""

import datetime
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.billing.usual_rates import usual_rate
from jobs.desk.forms import RegularTimetableForm
from jobs.desk.forms.business import IbanField
from jobs.desk.forms.fields import PriceField
from jobs.people.countries import country_name
from jobs.people.form_fields import CountryField, ZoneField
from jobs.people.models import Business
from jobs.trackday.models import Venue


@dataclass(frozen=True)
class StarterKind:
    """A kind of service most tuners sell, to be named and priced by this one."""

    code: str
    name: Any
    follow_ups: int
    advice_only: bool
    says: Any


STARTER_KINDS = (
    StarterKind(
        "day", gettext_lazy("Day support"), 3, False,
        gettext_lazy("The whole day: every checklist, three follow-ups between sessions."),
    ),
    StarterKind(
        "setup", gettext_lazy("Single setup"), 1, False,
        gettext_lazy("Baseline and one round of changes, with one follow-up."),
    ),
    StarterKind(
        "advice", gettext_lazy("Advice only"), 0, True,
        gettext_lazy("A talk over tyres and record; nothing is set on the bike."),
    ),
)  # fmt: skip


class TaxForm(forms.Form):
    """Registered for tax or not, and at which rate."""

    registered = forms.ChoiceField(
        choices=[
            ("yes", gettext_lazy("Yes: tax is shown on my invoices")),
            ("no", gettext_lazy("No: I charge no tax")),
        ],
        widget=forms.RadioSelect,
        label=gettext_lazy("Is the business registered for tax?"),
    )
    percent = PriceField(required=False, label=gettext_lazy("Rate, percent"))
    included = forms.BooleanField(
        required=False, initial=True, label=gettext_lazy("My prices include the tax")
    )

    def __init__(self, *args: Any, business: Business, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rate = usual_rate(business.country)
        if rate is not None:
            self.fields["percent"].initial = f"{rate:f}"
            self.fields["percent"].help_text = _(
                "Usual in %(country)s, from memory: confirm it with your tax adviser."
            ) % {"country": country_name(business.country, "en")}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        percent = data.get("percent")
        is_asked = data.get("registered") == "yes" and "percent" not in self.errors
        if is_asked and not (percent is not None and 0 < percent < 100):
            self.add_error("percent", _("A rate lies above 0 and below 100 percent."))
        return data


class StarterForm(forms.Form):
    """The three kinds, each ticked, named and priced."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kind in STARTER_KINDS:
            self.fields[f"on-{kind.code}"] = forms.BooleanField(
                required=False, initial=True, label=_("I offer it")
            )
            self.fields[f"name-{kind.code}"] = forms.CharField(
                required=False, max_length=80, initial=str(kind.name), label=_("Name")
            )
            self.fields[f"price-{kind.code}"] = PriceField(
                required=False, label=_("Price, %(currency)s") % {"currency": currency}
            )

    def kinds(self) -> list[dict[str, Any]]:
        return [
            {
                "says": kind.says,
                "on": self[f"on-{kind.code}"],
                "name": self[f"name-{kind.code}"],
                "price": self[f"price-{kind.code}"],
            }
            for kind in STARTER_KINDS
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        chosen = [kind for kind in STARTER_KINDS if data.get(f"on-{kind.code}")]
        if not chosen:
            self.add_error(None, _("Tick at least one, or put this off."))
        for kind in chosen:
            if not data.get(f"name-{kind.code}"):
                self.add_error(f"name-{kind.code}", _("Give it a name, or untick it."))
            if f"price-{kind.code}" in data and data[f"price-{kind.code}"] is None:
                self.add_error(f"price-{kind.code}", _("Type its price, or untick it."))
        return data

    def chosen(self) -> list[tuple[StarterKind, str, Decimal]]:
        data = self.cleaned_data
        return [
            (kind, data[f"name-{kind.code}"], data[f"price-{kind.code}"])
            for kind in STARTER_KINDS
            if data[f"on-{kind.code}"]
        ]


class VenueStepForm(forms.ModelForm[Venue]):
    country = CountryField(label=gettext_lazy("Country"))
    timezone = ZoneField(label=gettext_lazy("Time zone: the day's clock"))

    class Meta:
        model = Venue
        fields = ("name", "country", "timezone", "distance_km")
        labels = {
            "name": gettext_lazy("Name of the track"),
            "distance_km": gettext_lazy("Distance from the workshop, km (may be left out)"),
        }

    def __init__(self, *args: Any, business: Business, **kwargs: Any) -> None:
        usual = {"country": business.country, "timezone": business.timezone}
        super().__init__(*args, **{"initial": usual, **kwargs})


class TrackdayStepForm(RegularTimetableForm):
    """The first day, with run groups in turns, until the organiser's timetable comes."""

    venue = forms.ModelChoiceField(
        Venue.objects.all(), empty_label=None, label=gettext_lazy("Venue")
    )
    name = forms.CharField(
        max_length=120,
        initial=gettext_lazy("Trackday"),
        label=gettext_lazy("What it is called"),
        help_text=gettext_lazy("Such as the organiser's name for it; venue and date stand beside"),
    )
    date = forms.DateField(
        label=gettext_lazy("Date"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    in_turns = forms.BooleanField(
        required=False, initial=True, label=gettext_lazy("Run groups take turns, at these hours")
    )
    field_order = ("venue", "name", "date", "in_turns")

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        saturday = today + datetime.timedelta(days=(5 - today.weekday()) % 7)
        super().__init__(*args, **{"initial": {"date": saturday}, **kwargs})

    def of_day(self) -> list[forms.BoundField]:
        return [self[name] for name in ("venue", "name", "date")]

    def of_timetable(self) -> list[forms.BoundField]:
        return [
            self[n] for n in ("groups", "minutes", "start", "close", "lunch_start", "lunch_end")
        ]


class LetterheadForm(forms.ModelForm[Business]):
    """What an invoice says of its sender."""

    street = forms.CharField(max_length=120, label=gettext_lazy("Street and number"))
    city = forms.CharField(max_length=80, label=gettext_lazy("Town"))
    tax_id = forms.CharField(
        max_length=40,
        label=gettext_lazy("Tax or register number"),
        help_text=gettext_lazy("An invoice has to name one; with the country's letters for VAT"),
    )
    iban = IbanField(
        required=False,
        label=gettext_lazy("IBAN"),
        help_text=gettext_lazy("Left out: invoices ask for no bank transfer"),
    )
    picture = forms.FileField(
        required=False, label=gettext_lazy("Logo"), help_text=gettext_lazy("PNG, JPEG or WebP")
    )

    class Meta:
        model = Business
        fields = ("street", "postcode", "city", "email", "phone", "tax_id", "iban")
        labels = {"email": gettext_lazy("E-mail"), "postcode": gettext_lazy("Postcode")}


class HelpersForm(forms.Form):
    """The tuner's own PIN, and helpers who take a tablet by name and PIN."""

    HELPERS = 3
    own = forms.CharField(required=False, label=gettext_lazy("Your own PIN"), max_length=8)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in range(1, self.HELPERS + 1):
            self.fields[f"name-{number}"] = forms.CharField(
                required=False, max_length=150, label=_("Helper %(n)d") % {"n": number}
            )
            self.fields[f"pin-{number}"] = forms.CharField(
                required=False, max_length=8, label=_("PIN")
            )
        for name, field in self.fields.items():
            if not name.startswith("name"):
                field.widget.attrs |= {"inputmode": "numeric", "autocomplete": "off"}

    def helpers(self) -> list[tuple[str, str]]:
        """Name and PIN of each that was typed."""
        data = self.cleaned_data
        rows = [(data[f"name-{n}"], data[f"pin-{n}"]) for n in range(1, self.HELPERS + 1)]
        return [(name, pin) for name, pin in rows if name or pin]

    def own_field(self) -> list[forms.BoundField]:
        return [self["own"]]

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"name-{n}"], self[f"pin-{n}"]) for n in range(1, self.HELPERS + 1)]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for number in range(1, self.HELPERS + 1):
            name, pin = data.get(f"name-{number}"), data.get(f"pin-{number}")
            if pin and not name:
                self.add_error(f"name-{number}", _("Whose PIN is it?"))
            if name and not pin:
                self.add_error(f"pin-{number}", _("Give %(name)s a PIN.") % {"name": name})
        if not self.errors and not self.helpers() and not data.get("own"):
            self.add_error(None, _("Type a PIN, or put this off."))
        return data
