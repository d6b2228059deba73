"""Model sheets as open files: JSON (everything) and CSV (a line an adjuster).

JSON: {"model_sheets": [{"make", "model", "year", "note", <chassis figures>,
"adjusters": [{"end", "leg", "function", "unit", "step", "origin", "firming",
"first_click", "lowest", "highest", "labels", "standard", "order"}]}]}. Numbers are
written as text so that no digit is lost; figures that are not known are left out.

A list (CSV, XLSX, ODS): the same columns for adjusters, with make, model and year in front
and the chassis figures behind; labels are separated by "|", decimal comma or point. It is
read by ``jobs.tables``, under these headings or under others that a person matches.
"""

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db.models import Field
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from jobs.tables.matching import Choice, Formats, ListField, Matching
from jobs.tables.rows import text_of
from jobs.tables.table import Fault, table_of
from jobs.tuning import Refused, linkage

from .models import AdjusterFields, Chassis, ModelSheet, SheetAdjuster

IDENTITY = ("make", "model", "year")
CHASSIS = (*(f.name for f in Chassis._meta.local_fields), "note")
NOT_KEPT = re.compile("[\0\ud800-\udfff]")  # PostgreSQL keeps no NUL, no export half a pair
LAST_YEAR = 9999
AS_JSON = ("linkage_curve", "typed_in")
ADJUSTER = (*(f.name for f in AdjusterFields._meta.local_fields), "standard")
COLUMNS = (*IDENTITY, *ADJUSTER, *CHASSIS)
REQUIRED = ("make", "model", "end", "function", "highest")
# Headings beside the names of the columns (common practice, no source).
HEADINGS: dict[str, tuple[str, ...]] = {
    "make": ("brand", "marke", "hersteller", "marque", "marca", "merk"),
    "model": ("type", "modell", "modele", "modello", "modelo"),
    "year": ("model year", "baujahr", "annee", "anno", "ano", "bouwjaar"),
    "highest": ("range", "clicks", "klicks", "clics", "click"),
    "standard": ("standard setting", "serie", "origine", "di serie", "estandar", "standaard"),
}
# What a field is, for the page, and an example.
HELPS: dict[str, tuple[Any, str]] = {
    "make": (_lazy("the bike's make"), "Corvane"),
    "model": (_lazy("the bike's model"), "650 R"),
    "year": (_lazy("the model's year"), "2021"),
    "end": (_lazy("front or rear"), "front"),
    "leg": (_lazy("left, right or both; left out: both"), "both"),
    "function": (
        _lazy("what it sets: rebound, compression, compression high, preload ..."),
        "rebound",
    ),
    "unit": (
        _lazy("click, turn, mm, N/mm, kPa, psi, bar, mark or label; left out: click"),
        "click",
    ),
    "step": (_lazy("the smallest step; left out: 1"), "0.25"),
    "labels": (_lazy("positions by name, separated by |"), "road|sport|track"),
    "origin": (_lazy("counted from: closed, open, mark or zero; left out: closed"), "closed"),
    "firming": (_lazy("down: fewer is firmer, up: more is; left out: down"), "down"),
    "first_click": (_lazy("the number said at the end itself: 0 or 1; left out: 0"), "0"),
    "lowest": (_lazy("the lowest position; left out: 0"), "0"),
    "highest": (_lazy("the highest position"), "24"),
    "order": (_lazy("its place in the list"), "1"),
    "standard": (_lazy("the usual position"), "12"),
}
SHEET_FIELDS = tuple(
    ListField(
        name,
        name.replace("_", " ").capitalize(),
        HEADINGS.get(name, ()),
        required=name in REQUIRED,
        help=HELPS.get(name, ("", ""))[0],
        example=HELPS.get(name, ("", ""))[1],
    )
    for name in COLUMNS
)


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
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for sheet in sheets:
        said = _sheet(sheet)
        for adjuster in said.pop("adjusters"):
            row = {**said, **adjuster}
            row["labels"] = "|".join(adjuster.get("labels", []))
            row |= {name: json.dumps(said[name]) for name in AS_JSON if name in said}
            writer.writerow(row)
    return text.getvalue()


@dataclass
class SheetsRead:
    """What a list of sheets says. Rows with faults are left out of ``sheets``."""

    sheets: list[SheetData] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    matching: Matching = field(default_factory=Matching)


def sheets_from_json(content: bytes) -> list[SheetData]:
    """Read a JSON file. ValidationError names every fault with its place."""
    sheets: dict[tuple[str, str, int], SheetData] = {}
    faults: list[str] = []
    for place, row in _json_rows(text_of(content)):
        try:
            _take(sheets, row)
        except (ValidationError, ValueError, InvalidOperation) as error:
            faults.append(f"{place}: {_reason(error)}")
    if faults:
        raise ValidationError(faults)
    if not sheets:
        raise ValidationError(_("There is no model sheet in this file."))
    return list(sheets.values())


def sheets_from_list(
    text: str, *, formats: Formats | None = None, choice: Choice | None = None
) -> SheetsRead:
    """Read the text of a list; see ``jobs.tables.matching`` for ``formats`` and ``choice``."""
    table = table_of(text, fields=SHEET_FIELDS, formats=formats, choice=choice, most_rows=None)
    sheets: dict[tuple[str, str, int], SheetData] = {}
    faults = list(table.faults)
    for row in table.rows:
        try:
            _take(sheets, dict(row.cells))
        except (ValidationError, ValueError, InvalidOperation) as error:
            about = f"{row['make']} {row['model']}".strip()
            faults.append(Fault(row.line, "", _reason(error), about))
    return SheetsRead(list(sheets.values()), faults, table.matching)


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
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ValidationError(
            _("This is not a JSON file of model sheets: it needs a list “model_sheets”, each "
              "with its “adjusters”.")
        ) from error  # fmt: skip


def _take(sheets: dict[tuple[str, str, int], SheetData], row: dict[str, Any]) -> None:
    given = {name: value for name, value in row.items() if value not in (None, "", [], {})}
    for name, value in given.items():
        if any(NOT_KEPT.search(text) for text in _texts(value)):
            raise ValidationError(
                _("%(name)s has a character that cannot be kept.") % {"name": name}
            )
    make, model = str(given.get("make", "")).strip(), str(given.get("model", "")).strip()
    if not (make and model):
        raise ValidationError(_("make and model are needed."))
    year = _year(given.get("year", 0))
    chassis = {name: _read(ModelSheet, name, given[name]) for name in CHASSIS if name in given}
    identified = ModelSheet(make=make, model=model, year=year, **chassis)
    identified.clean_fields(exclude=set(CHASSIS) - set(chassis))
    adjuster = {name: _read(SheetAdjuster, name, given[name]) for name in ADJUSTER if name in given}
    SheetAdjuster(sheet_id=0, **adjuster).clean_fields(exclude=["sheet"])
    if adjuster["highest"] <= adjuster.get("lowest", 0):
        raise ValidationError(_("highest must be above lowest."))
    sheet = sheets.setdefault((make, model, year), SheetData(make, model, year, chassis))
    sheet.adjusters.append(adjuster)


def _texts(value: Any) -> Iterator[str]:
    """Every text in a value of JSON, names of an object too."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in [*value, *value.values()]:
            yield from _texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)


def _year(value: Any) -> int:
    try:
        year = int(value)
        if not 0 <= year <= LAST_YEAR:
            raise ValueError(value)
        return year
    except (TypeError, ValueError, OverflowError):
        raise ValidationError(_("year: “%(value)s” is not a year.") % {"value": value}) from None


def _read(model: type[ModelSheet | SheetAdjuster], name: str, value: Any) -> Any:
    """A value of a file as its field wants it; the field's own words where it cannot be."""
    if name == "labels":
        return value.split("|") if isinstance(value, str) else value
    if name in AS_JSON:
        return _read_json(name, value)
    target = cast("Field[Any, Any]", model._meta.get_field(name))
    if target.get_internal_type() == "DecimalField" and isinstance(value, str):
        value = value.replace(",", ".")
    if target.choices and isinstance(value, str):
        return _chosen(name, dict(target.flatchoices), value)
    try:
        return target.to_python(value)
    except ValidationError as error:
        raise ValidationError(f"{name}: {_reason(error)}") from error


def _chosen(name: str, choices: dict[str, Any], value: str) -> str:
    """One of a field's values, as it or its word is usually written: case does not matter."""
    plain = value.strip().casefold()
    for key, word in choices.items():
        if plain in (key.casefold(), key.casefold().replace("_", " "), str(word).casefold()):
            return key
    raise ValidationError(
        _("%(name)s: “%(value)s” is none of %(choices)s.")
        % {"name": name, "value": value, "choices": ", ".join(choices)}
    )


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
    except (TypeError, ValueError, AttributeError, RecursionError) as error:
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
