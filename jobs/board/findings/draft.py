"""A finding being written: what was posted as a table of the open form, and its buttons.

The names in the page are those of the open form: ``suspects-2-text``, and for the third
state of the first condition of a step ``steps-1-when-1-1-is``. A button's value is what it
does and where: ``up:suspects-2``, ``or:suspects-2-when``.
"""

from collections.abc import Iterator
from itertools import count, takewhile
from typing import Any

from django.http import QueryDict

from jobs.people.typed import whole_number

from .forms import PARTS, FindingFields

Table = dict[str, Any]
# The lists of conditions of each part; of those in ONE there is a single condition.
CONDITIONS = {"suspects": ("when", "unless"), "steps": ("when", "unless"), "stops": ("when",)}
ONE = {("steps", "when"), ("stops", "when")}


def table_from_post(data: QueryDict) -> Table:
    """Everything that was entered, right or wrong."""
    table = FindingFields(data).table()
    for part in PARTS:
        sure = "-function" if part == "steps" else "-text"  # a field every row of it posts
        rows = [_row(data, part, f"{part}-{n}", table) for n in _numbers(data, part, sure)]
        if rows:
            table[part] = rows
    return table


def _numbers(data: QueryDict, name: str, rest: str = "") -> Iterator[int]:
    """1, 2, 3 ... as far as there are fields for it."""
    return takewhile(lambda n: f"{name}-{n}{rest}" in data, count(1))


def _row(data: QueryDict, part: str, prefix: str, table: Table) -> Table:
    more = {"suspects": table.get("suspects", [])} if part == "steps" else {}
    row = PARTS[part](data, prefix=prefix, **more).table()
    for key in CONDITIONS[part]:
        conditions = [
            " and ".join(_term(data, f"{prefix}-{key}-{c}-{t}") for t in terms)
            for c in _numbers(data, f"{prefix}-{key}", "-1")
            if (terms := list(_numbers(data, f"{prefix}-{key}-{c}")))
        ]
        conditions_put(row, part, key, conditions)
    return row


def _term(data: QueryDict, name: str) -> str:
    states = " or ".join(data.getlist(f"{name}-is"))
    return " ".join(filter(None, (data.get(f"{name}-end"), data.get(name), states)))


def conditions_of(row: Table, part: str, key: str) -> list[str]:
    """The conditions of a row, one or many, as a list."""
    found = row.get(key, [])
    return ([found] if found else []) if (part, key) in ONE else list(found)


def conditions_put(row: Table, part: str, key: str, conditions: list[str]) -> None:
    row.pop(key, None)
    if conditions:
        row[key] = conditions[0] if (part, key) in ONE else conditions


def apply_button(table: Table, do: str, data: QueryDict) -> str:
    """Apply a button to the table. Returns the name of the part the page shows next."""
    verb, _colon, name = do.partition(":")
    part, *where = name.split("-")
    if part not in PARTS:
        return ""
    numbers = [n for one in where if (n := whole_number(one)) is not None]
    rows = table.setdefault(part, [])
    if verb == "add":
        rows.append({"suspect": numbers[0]} if part == "steps" and numbers else {})
        return f"{part}-{len(rows)}"
    if not numbers or not 1 <= numbers[0] <= len(rows):
        return ""
    if len(numbers) == len(where):
        return _move_row(table, part, verb, numbers[0])
    key = where[1]
    if key in CONDITIONS[part]:
        new = data.get(f"{part}-{numbers[0]}-{key}-new", "")
        _change_conditions(rows[numbers[0] - 1], part, key, verb, new, numbers[1:])
    return f"{part}-{numbers[0]}"


def _move_row(table: Table, part: str, verb: str, number: int) -> str:
    """One row up, down or away, in the list ``part``."""
    rows = table[part]
    order = list(range(1, len(rows) + 1))  # the old numbers in the new order
    other = {"up": number - 1, "down": number + 1}.get(verb, 0)
    if verb == "drop":
        order.remove(number)
    elif 1 <= other <= len(rows):
        order[number - 1], order[other - 1] = other, number
    table[part] = [rows[n - 1] for n in order]
    if part == "suspects":
        _renumber_suspects(table, {old: new for new, old in enumerate(order, 1)})
    return part if verb == "drop" else f"{part}-{order.index(number) + 1}"


def _renumber_suspects(table: Table, now: dict[int, int]) -> None:
    """Give steps the new numbers of their suspects; a step whose suspect is gone has none."""
    for step in table.get("steps", []):
        if "suspect" in step:
            step["suspect"] = now.get(step["suspect"], "")
        if "after" in step:
            step["after"] = [now[order] for order in step["after"] if order in now]


def _change_conditions(row: Table, part: str, key: str, verb: str, new: str, at: list[int]) -> None:
    conditions = conditions_of(row, part, key)
    if verb == "drop" and len(at) == 2 and 1 <= at[0] <= len(conditions):
        terms = conditions[at[0] - 1].split(" and ")
        del terms[at[1] - 1 : at[1]]
        conditions[at[0] - 1 : at[0]] = [" and ".join(terms)] if terms else []
    elif new and verb == "and" and conditions:
        conditions[-1] = f"{conditions[-1]} and {new}"
    elif new and verb in ("or", "and"):
        conditions.append(new)
    conditions_put(row, part, key, conditions)
