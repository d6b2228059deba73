"""Model sheets as open files: JSON (everything) and CSV (a line an adjuster).

JSON: {"model_sheets": [{"make", "model", "year", "note", <chassis figures>,
"adjusters": [{"end", "leg", "function", "unit", "step", "origin", "firming",
"first_click", "lowest", "highest", "labels", "standard", "order"}]}]}. Numbers are
written as text so that no digit is lost; figures that are not known are left out.

CSV: the same columns for adjusters, with make, model and year in front and the chassis
figures behind; labels are separated by "|". Separator comma or semicolon, decimal comma
or point, with or without a byte order mark.
"""

import csv
import io
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db.models import Field
from django.utils.translation import gettext as _

from jobs.tuning import Refused, linkage

from .models import AdjusterFields, Chassis, ModelSheet, SheetAdjuster

IDENTITY = ("make", "model", "year")
CHASSIS = (*(f.name for f in Chassis._meta.local_fields), "note")
AS_JSON = ("linkage_curve", "typed_in")
ADJUSTER = (*(f.name for f in AdjusterFields._meta.local_fields), "standard")


@dataclass
class SheetData:
    """One sheet read from a file, checked."""

    make: str
    model: str
    year: int
    chassis: dict[str, Any] = field(default_factory=dict)
    adjusters: list[dict[str, Any]] = field(default_factory=list)


def sheets_to_json(sheets: Iterable[ModelSheet]) -> str:
    return json.dumps({"model_sheets": [_sheet(sheet) for sheet in sheets]}, indent=2)


def _sheet(sheet: ModelSheet) -> dict[str, Any]:
    return {
        **{name: getattr(sheet, name) for name in IDENTITY},
        **_known(sheet, CHASSIS),
        "adjusters": [_known(adjuster, ADJUSTER) for adjuster in sheet.adjusters.all()],
    }


def _known(row: Any, names: Iterable[str]) -> dict[str, Any]:
    """The fields that hold something; decimals as text."""
    values = {name: getattr(row, name) for name in names}
    return {
        name: format(value.normalize(), "f") if isinstance(value, Decimal) else value
        for name, value in values.items()
        if value not in (None, "", [], {})
    }


def sheets_to_csv(sheets: Iterable[ModelSheet]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, (*IDENTITY, *ADJUSTER, *CHASSIS), lineterminator="\n")
    writer.writeheader()
    for sheet in sheets:
        said = _sheet(sheet)
        for adjuster in said.pop("adjusters"):
            row = {**said, **adjuster}
            row["labels"] = "|".join(adjuster.get("labels", []))
            row |= {name: json.dumps(said[name]) for name in AS_JSON if name in said}
            writer.writerow(row)
    return text.getvalue()


def sheets_from_file(name: str, content: bytes) -> list[SheetData]:
    """Read a file of either kind. ValidationError names every fault with its place."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValidationError(_("The file is not UTF-8 text.")) from error
    rows = _json_rows(text) if name.lower().endswith(".json") else _csv_rows(text)
    sheets: dict[tuple[str, str, int], SheetData] = {}
    faults: list[str] = []
    for place, row in rows:
        try:
            _take(sheets, row)
        except (ValidationError, ValueError, InvalidOperation) as error:
            faults.append(f"{place}: {_reason(error)}")
    if faults:
        raise ValidationError(faults)
    if not sheets:
        raise ValidationError(_("There is no model sheet in this file."))
    return list(sheets.values())


def _json_rows(text: str) -> list[tuple[str, dict[str, Any]]]:
    try:
        listed = json.loads(text)["model_sheets"]
        return [
            (
                _("sheet %(n)s, adjuster %(m)s") % {"n": n, "m": m},
                {**{k: v for k, v in sheet.items() if k != "adjusters"}, **adjuster},
            )
            for n, sheet in enumerate(listed, 1)
            for m, adjuster in enumerate(sheet["adjusters"], 1)
        ]
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ValidationError(
            _("This is not a JSON file of model sheets: it needs a list “model_sheets”, each "
              "with its “adjusters”.")
        ) from error  # fmt: skip


def _csv_rows(text: str) -> list[tuple[str, dict[str, Any]]]:
    first = text.split("\n", 1)[0]
    reader = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    missing = {"make", "model", "end", "function", "highest"} - set(reader.fieldnames or [])
    if missing:
        raise ValidationError(
            _("The first line lacks the columns: %(names)s.")
            % {"names": ", ".join(sorted(missing))}
        )
    return [(_("line %(n)s") % {"n": n}, row) for n, row in enumerate(reader, 2)]


def _take(sheets: dict[tuple[str, str, int], SheetData], row: dict[str, Any]) -> None:
    given = {name: value for name, value in row.items() if value not in (None, "", [], {})}
    make, model = str(given.get("make", "")).strip(), str(given.get("model", "")).strip()
    if not (make and model):
        raise ValidationError(_("make and model are needed."))
    year = int(given.get("year", 0))
    chassis = {name: _read(ModelSheet, name, given[name]) for name in CHASSIS if name in given}
    adjuster = {name: _read(SheetAdjuster, name, given[name]) for name in ADJUSTER if name in given}
    SheetAdjuster(sheet_id=0, **adjuster).clean_fields(exclude=["sheet"])
    if adjuster["highest"] <= adjuster.get("lowest", 0):
        raise ValidationError(_("highest must be above lowest."))
    sheet = sheets.setdefault((make, model, year), SheetData(make, model, year, chassis))
    sheet.adjusters.append(adjuster)


def _read(model: type[ModelSheet | SheetAdjuster], name: str, value: Any) -> Any:
    """A value of a file as its field wants it; the field's own words where it cannot be."""
    if name == "labels":
        return value.split("|") if isinstance(value, str) else value
    if name in AS_JSON:
        return _read_json(name, value)
    target = cast("Field[Any, Any]", model._meta.get_field(name))
    if target.get_internal_type() == "DecimalField" and isinstance(value, str):
        value = value.replace(",", ".")
    try:
        return target.to_python(value)
    except ValidationError as error:
        raise ValidationError(f"{name}: {_reason(error)}") from error


def _read_json(name: str, value: Any) -> Any:
    """A linkage curve the arithmetic takes; units by group. In CSV both are written as JSON."""
    wanted = {
        "linkage_curve": _("pairs of wheel mm and shock mm: [[0, 0], [20, 9.2], ...]"),
        "typed_in": _('units by group: {"fork": "kgf/mm"}'),
    }[name]
    try:
        read = json.loads(value) if isinstance(value, str) else value
        if name == "linkage_curve":
            linkage.from_points(points=read)
        else:
            read = {str(group): str(unit) for group, unit in read.items()}
    except Refused as refusal:
        raise ValidationError(f"{name}: {refusal}") from refusal
    except (TypeError, ValueError, AttributeError) as error:
        raise ValidationError(
            _("%(name)s needs %(wanted)s.") % {"name": name, "wanted": wanted}
        ) from error
    return read


def _reason(error: Exception) -> str:
    if not isinstance(error, ValidationError):
        return str(error)
    if hasattr(error, "error_dict"):
        return " ".join(f"{name}: {' '.join(said)}" for name, said in error.message_dict.items())
    return " ".join(error.messages)
