"""A list chosen or pasted, then carried from page to page while its columns are matched."""

import json
import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from .matching import Choice, Formats, ListField, Matching, match
from .rows import Unreadable, rows_of, too_wide
from .selectors import formats_of
from .spreadsheets import FileFault, Sheet, sheets_of

MOST_BYTES = 2 * 1024 * 1024
COLUMN = "column-"  # before a column's number: the field chosen for it
COLUMN_KEY = re.compile(rf"{COLUMN}(\d{{1,6}})")


class ListForm(forms.Form):
    """A file chosen, or rows pasted; later the same rows with what was chosen for them.

    Nothing is kept on the server meanwhile. Once valid: ``sheets``, the ``sheet`` in hand,
    its ``text``, what a person chose of its columns (``choice``; None: nothing yet), and the
    matchings remembered of such lists (``formats``).
    """

    file = forms.FileField(required=False, label=_("The list"))
    text = forms.CharField(
        required=False, strip=False, widget=forms.Textarea(attrs={"rows": 6}),
        label=_("or paste the rows, headings first"),
    )  # fmt: skip
    book = forms.CharField(required=False, strip=False, widget=forms.HiddenInput)
    sheet = forms.IntegerField(required=False, min_value=0)
    header = forms.IntegerField(required=False, min_value=1)
    # Sheet and heading row that the chosen columns were shown for.
    shown = forms.CharField(required=False, widget=forms.HiddenInput)
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    kind = ""
    list_fields: tuple[ListField, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sheets: list[Sheet] = []
        self.sheet_index = 0
        self.choice: Choice | None = None
        self.formats: Formats = {}

    @property
    def current(self) -> Sheet:
        return self.sheets[self.sheet_index]

    @property
    def book_json(self) -> str:
        """Every sheet, to be carried by the page."""
        return json.dumps([[sheet.name, sheet.text] for sheet in self.sheets], ensure_ascii=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        try:
            self._read(data)
        except FileFault as why:
            self.add_error("file", str(why))
        return data

    def _read(self, data: Mapping[str, Any]) -> None:
        file, text, book = data.get("file"), data.get("text") or "", data.get("book") or ""
        if file is None and not text.strip() and book:
            self._carried(data, book)
            return
        if file is not None and file.size > MOST_BYTES:
            raise FileFault(_("The file is larger than 2 MB."))
        if file is None and not text.strip():
            raise FileFault(_("Choose a file, or paste its rows."))
        self.sheets = sheets_of(file.read()) if file is not None else [Sheet("", text)]
        self.formats = formats_of(kind=self.kind)
        known = [self._columns_known(sheet) for sheet in self.sheets]
        self.sheet_index = known.index(max(known))

    def _carried(self, data: Mapping[str, Any], book: str) -> None:
        try:
            self.sheets = [
                Sheet(_writable(name), _writable(text)) for name, text in json.loads(book)
            ]
        except (ValueError, TypeError, RecursionError) as error:
            raise FileFault(_("Choose the file again, please.")) from error
        if not self.sheets:
            raise FileFault(_("Choose the file again, please."))
        self.formats = formats_of(kind=self.kind)
        self.sheet_index = min(data.get("sheet") or 0, len(self.sheets) - 1)
        header = data.get("header")
        sheet_shown, _colon, header_shown = str(data.get("shown") or "").partition(":")
        if sheet_shown != str(self.sheet_index):
            return
        same_row = header_shown == str(header)
        self.choice = Choice(header, self._fields_chosen() if same_row else None)

    def _fields_chosen(self) -> dict[int, str]:
        names = {field.name for field in self.list_fields}
        columns = {key: COLUMN_KEY.fullmatch(key) for key in self.data}
        return {
            int(found[1]): self.data[key]
            for key, found in columns.items()
            if found and self.data[key] in names
        }

    def _columns_known(self, sheet: Sheet) -> int:
        try:
            lines = rows_of(sheet.text)
        except Unreadable:
            return 0
        if not lines or too_wide(lines):
            return 0
        return len(match(lines, self.list_fields, formats=self.formats).used)

    def columns_shown(self, matching: Matching) -> list[dict[str, Any]]:
        """What the page of the columns shows: one row a column that holds something."""
        return [
            {"column": column, "name": f"{COLUMN}{column.index}"}
            for column in matching.columns
            if column.heading or column.samples
        ]


def _writable(text: object) -> str:
    """Raises ValueError for half of a surrogate pair, which JSON can say and nothing can keep."""
    return str(text).encode().decode()
