from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.desk.imports.table import text_of
from jobs.trackday.models import ServicePackage

MOST_BYTES = 2 * 1024 * 1024


class ImportForm(forms.Form):
    """A file chosen, or rows pasted. The confirming form sends the text it was shown for."""

    file = forms.FileField(required=False, label=_("CSV file"))
    text = forms.CharField(
        required=False, strip=False, widget=forms.Textarea(attrs={"rows": 6}),
        label=_("or paste the rows, header first"),
    )  # fmt: skip
    package = forms.ModelChoiceField(
        ServicePackage.objects.filter(active=True),
        required=False,
        empty_label=_("none: every row must name one"),
        label=_("Service package of rows that name none"),
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        file = data.get("file")
        if file is not None and file.size > MOST_BYTES:
            self.add_error("file", _("The file is larger than 2 MB."))
        elif file is not None:
            data["text"] = text_of(file.read())
        if not self.errors and not (data.get("text") or "").strip():
            self.add_error("file", _("Choose a file, or paste its rows."))
        return data
