"""Rows exported in an open form: a zip of CSV tables described by a Data Package.

The form is the Frictionless Data Package with Table Schema (specs.frictionlessdata.io):
``datapackage.json`` names every table, every column with its type and what it means, and
which column points where. The tables are CSV after RFC 4180, UTF-8, times in ISO 8601
with their offset. Any language reads ``data``, where every text is as it was typed;
``spreadsheets`` has the same tables for people, with no text that a spreadsheet would run.
"""

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import IO, Any

from django.db.models import BinaryField, Field, ForeignKey, QuerySet

from jobs.tables.formula_cells import cell_for_people

TYPES = {
    "AutoField": "integer", "BigAutoField": "integer", "BigIntegerField": "integer",
    "IntegerField": "integer", "SmallIntegerField": "integer",
    "PositiveIntegerField": "integer", "PositiveSmallIntegerField": "integer",
    "PositiveBigIntegerField": "integer", "BooleanField": "boolean",
    "DecimalField": "number", "FloatField": "number", "DateField": "date",
    "DateTimeField": "datetime", "JSONField": "any",
}  # fmt: skip


FOR_PEOPLE = "spreadsheets"


@dataclass(frozen=True)
class File:
    """A file beside the tables; its bytes are read when it is written."""

    path: str
    read: Any  # () -> bytes


def archive_write(
    to: IO[bytes],
    *,
    title: str,
    tables: Iterable[QuerySet[Any]],
    files: Iterable[File] = (),
    without: frozenset[str] = frozenset(),
    personal: frozenset[str] = frozenset(),
    masked: Callable[[str], str] = str,
) -> None:
    """Write everything as one zip.

    ``without`` and ``personal`` are columns as "table.column": those never given out
    (secrets), and those described as personal. ``masked`` takes secrets out of a text.
    """
    rows = list(tables)
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        inside = {query.model._meta.db_table: query for query in rows}
        described = [_resource(query, inside, without, personal) for query in rows]
        package = {"name": "paddock", "title": title, "profile": "tabular-data-package"}
        archive.writestr(
            "datapackage.json", json.dumps({**package, "resources": described}, indent=2)
        )
        for query in rows:
            name = f"{query.model._meta.db_table}.csv"
            with archive.open(f"data/{name}", "w") as binary:
                _csv(query, binary, without, masked)
            with archive.open(f"{FOR_PEOPLE}/{name}", "w") as binary:
                _csv(query, binary, without, lambda text: cell_for_people(masked(text)))
        for file in files:
            archive.writestr(file.path, file.read())


def _columns(query: QuerySet[Any], without: frozenset[str]) -> Iterator[Field[Any, Any]]:
    for field in query.model._meta.concrete_fields:
        if f"{query.model._meta.db_table}.{field.column}" in without:
            continue
        if not isinstance(field, BinaryField):  # bytes are files of their own
            yield field


def _resource(
    query: QuerySet[Any],
    inside: dict[str, QuerySet[Any]],
    without: frozenset[str],
    personal: frozenset[str],
) -> dict[str, Any]:
    meta = query.model._meta
    columns = list(_columns(query, without))
    schema: dict[str, Any] = {
        "fields": [_described(field, personal) for field in columns],
        "primaryKey": meta.pk.column,
        "foreignKeys": [
            {
                "fields": field.column,
                "reference": {
                    "resource": field.related_model._meta.db_table,
                    "fields": field.related_model._meta.pk.column,
                },
            }
            for field in columns
            if isinstance(field, ForeignKey) and _points_inside(query, field, inside)
        ],
    }
    return {
        "name": meta.db_table,
        "title": str(meta.verbose_name_plural),
        "description": " ".join((query.model.__doc__ or "").split()),
        "path": f"data/{meta.db_table}.csv",
        "encoding": "utf-8",
        "profile": "tabular-data-resource",
        "schema": schema,
    }


def _points_inside(
    query: QuerySet[Any], field: ForeignKey[Any, Any], inside: dict[str, QuerySet[Any]]
) -> bool:
    """Whether every row's pointer of that column leads to a row that is given out too.

    One that does not (to another customer's row, such as the payer of an entry) keeps its
    number, and the column is not described as pointing anywhere.
    """
    found = inside.get(field.related_model._meta.db_table)
    if found is None:
        return False
    pks = found.order_by().values("pk")
    outside = query.order_by().exclude(**{field.name: None}).exclude(**{f"{field.name}__in": pks})
    return not outside.exists()


def _described(field: Field[Any, Any], personal: frozenset[str]) -> dict[str, Any]:
    kind = field
    while isinstance(kind, ForeignKey):
        kind = kind.target_field
    found: dict[str, Any] = {
        "name": field.column,
        "type": TYPES.get(kind.get_internal_type(), "string"),
    }
    if field.help_text:
        found["description"] = str(field.help_text)
    if f"{field.model._meta.db_table}.{field.column}" in personal:
        found["personal"] = True
    if field.choices:
        found["constraints"] = {"enum": [str(value) for value, _label in field.flatchoices]}
        if field.blank:
            found["constraints"]["enum"].append("")
    return found


def _csv(
    query: QuerySet[Any],
    binary: IO[bytes],
    without: frozenset[str],
    written: Callable[[str], object],
) -> None:
    columns = list(_columns(query, without))
    text = io.TextIOWrapper(binary, encoding="utf-8", newline="", write_through=True)
    out = csv.writer(text)
    out.writerow([field.column for field in columns])
    rows = query.order_by("pk").values_list(*[field.attname for field in columns])
    for row in rows.iterator(chunk_size=2000):
        cells = (_cell(value) for value in row)
        out.writerow([written(cell) if isinstance(cell, str) else cell for cell in cells])
    text.detach()


def _cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    return value
