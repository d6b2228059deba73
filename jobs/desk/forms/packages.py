from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.trackday.models import ServicePackage
from jobs.worklist.models import Checklist
from jobs.worklist.selectors import checklists_asked_by, checklists_current

from .fields import PriceField


class PackageForm(forms.ModelForm[ServicePackage]):
    """A service package, its price and its checklists. The services check the whole."""

    price = PriceField(required=False, label=_("Price"))
    checklists = forms.ModelMultipleChoiceField(
        Checklist.objects.none(),
        required=False,
        label=_("Checklists asked of its bikes"),
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = ServicePackage
        fields = ("name", "follow_ups", "advice_only", "description", "code", "order", "active")
        labels = {
            "name": _("Name, as customers read it"),
            "follow_ups": _("Follow-ups included"),
            "advice_only": _("Advice only: nothing is set on the bike"),
            "description": _("What is done, in a sentence or two"),
            "code": _("Short code"),
            "order": _("Place in the list"),
            "active": _("Offered for new entries"),
        }
        help_texts = {
            "follow_ups": _(
                "Sessions after which the bike is looked at again without extra charge"
            ),
            "description": _("For your own people; it is not printed"),
            "code": _(
                "A word a file of entries may use instead of the name; left out: made from it"
            ),
            "order": _("1 stands first, and is what a walk-up is given"),
        }
        widgets = {"description": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self, *args: Any, currency: str, with_tax: bool, price: Any = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["order"].required = self.fields["code"].required = False
        words = _("%(currency)s, with tax") if with_tax else _("%(currency)s, without tax")
        self.fields["price"].help_text = words % {"currency": currency}
        self.initial["price"] = "" if price is None else f"{price.normalize():f}"
        standing = checklists_current()
        self.fields["checklists"].queryset = standing  # type: ignore[attr-defined]
        self.fields["checklists"].label_from_instance = lambda one: one.name  # type: ignore[attr-defined]
        self.initial["checklists"] = [c.pk for c in checklists_asked_by(self.instance, standing)]
        self.has_checklists = bool(standing)
        if not self.instance.pk:
            del self.fields["active"]

    def clean_order(self) -> int:
        return self.cleaned_data["order"] or self.instance.order

    def first_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("name", "price", "follow_ups")]

    def further_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("description", "code", "order")]
