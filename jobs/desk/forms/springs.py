from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End
from jobs.garage.models import SpringInVan
from jobs.tuning import AskAgain, Refused
from jobs.tuning.springs import checked_rate


class SpringInVanForm(forms.ModelForm[SpringInVan]):
    """Springs of one kind in the van. A rate that is unusual is asked about once."""

    end = forms.ChoiceField(
        label=_("For"), choices=[(End.FRONT, _("fork leg")), (End.REAR, _("shock"))]
    )
    sure = forms.BooleanField(required=False, label=_("It is right as typed"))

    class Meta:
        model = SpringInVan
        fields = ("end", "rate_n_per_mm", "description", "pieces")
        labels = {
            "rate_n_per_mm": _("Rate of one spring, N/mm"),
            "description": _("Maker, length, what else tells it apart"),
            "pieces": _("How many"),
        }
        help_texts = {"description": "", "pieces": _("A fork takes two.")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asks = False

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        rate, end = data.get("rate_n_per_mm"), data.get("end")
        if rate is None or end is None:
            return data
        try:
            checked_rate(rate_n_per_mm=float(rate), end=end, sure=bool(data.get("sure")))
        except AskAgain as question:
            self.asks = True
            self.add_error("rate_n_per_mm", str(question.words))
        except Refused as refused:
            self.add_error("rate_n_per_mm", str(refused.words))
        return data

    @property
    def shown(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name != "sure" or self.asks]
