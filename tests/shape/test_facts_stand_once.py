"""A fact stands in one place: who may read, derive or parse what, by module."""

import ast
import re
from collections.abc import Callable, Iterator

import pytest

from jobs.tuning.cooling import COLD_MINUTES, FRESH_MINUTES, HOT_MINUTES
from jobs.tuning.terms import MEASURED_FUNCTIONS

from .source import ROOT, files

READS = {"all", "exists", "filter", "first", "get", "last", "only", "values", "values_list"}
TODAY = {"today", "localdate"}


def _text(node: ast.AST) -> str:
    return ast.unparse(node)


def reads_the_business(node: ast.AST) -> bool:
    """``Business.objects.first()`` and its like: ``business_get()`` is the one reader."""
    return (
        isinstance(node, ast.Attribute)
        and node.attr in READS
        and _text(node.value).endswith("Business.objects")
    )


def makes_a_date_of_now(node: ast.AST) -> bool:
    """``date.today()``, ``timezone.localdate()``, ``datetime.now(...).date()``: today is
    somewhere, see ``jobs.people.dates``."""
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
        return False
    name, of = node.func.attr, _text(node.func.value)
    if name == "date":
        return re.search(r"\bnow\(", of) is not None
    return name in TODAY and of.split(".")[-1] in {"date", "datetime", "timezone"}


def asks_the_database_for_a_date(node: ast.AST) -> bool:
    """``fitted_at__date=...`` compares with the date in the server's zone; use
    ``clock.bounds``. A column that is a date (``trackday__date``) may be compared."""
    return (
        isinstance(node, ast.keyword)
        and re.search(r"(_at|_from|_to|start|end|until)__date(__|$)", node.arg or "") is not None
    )


def derives_expected_times(node: ast.AST) -> bool:
    """The pure functions of the clock: everybody reads ``selectors.trackday_times``."""
    name = _text(node) if isinstance(node, (ast.Name, ast.Attribute)) else ""
    return name in {"clock.day_times", "clock.TimetableRows", "TimetableRows"}


def reads_csv(node: ast.AST) -> bool:
    return isinstance(node, ast.Attribute) and _text(node) in {"csv.reader", "csv.DictReader"}


def decodes_a_file(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value in {"cp1252", "utf-8-sig"}


def names_a_measured_function(node: ast.AST) -> bool:
    """A list of its own of what is measured."""
    if not isinstance(node, (ast.Set, ast.List, ast.Tuple)):
        return False
    ends = {_text(one).split(".")[-1].strip("'").lower() for one in node.elts}
    return len(ends) > 2 and ends <= {str(one) for one in MEASURED_FUNCTIONS}


def says_minutes_of_heat(node: ast.AST) -> bool:
    """A sentence or a name with its own number of minutes after the stop."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        figures = rf"({FRESH_MINUTES}|{HOT_MINUTES}|{COLD_MINUTES}|two|five|sixty)"
        return (
            re.search(rf"within {figures} min\w* of (the stop|coming in)", node.value.lower())
            is not None
        )
    names = [_text(one) for one in node.targets] if isinstance(node, ast.Assign) else []
    return any(re.search(r"(HOT|FRESH|COLD|TOO_OLD)_MIN", name) for name in names)


# What is looked for, and the modules that may hold it.
ONCE: list[tuple[Callable[[ast.AST], bool], set[str]]] = [
    (reads_the_business, {"jobs/people/selectors.py"}),
    (makes_a_date_of_now, {"jobs/people/dates.py"}),
    (asks_the_database_for_a_date, set()),
    (derives_expected_times, {"jobs/trackday/clock.py", "jobs/trackday/selectors.py"}),
    (reads_csv, {"jobs/tables/rows.py"}),
    (decodes_a_file, {"jobs/tables/rows.py"}),
    (names_a_measured_function, {"jobs/tuning/terms.py"}),
    (says_minutes_of_heat, {"jobs/tuning/cooling.py"}),
]


def holders(looked_for: Callable[[ast.AST], bool]) -> Iterator[tuple[str, int]]:
    for path in files(".py", homes=("jobs", "paddock")):
        for node in ast.walk(ast.parse(path.read_text())):
            if looked_for(node):
                yield str(path.relative_to(ROOT)), getattr(node, "lineno", 0)


@pytest.mark.parametrize(("looked_for", "may"), ONCE, ids=[one[0].__name__ for one in ONCE])
def test_a_fact_stands_in_one_place(looked_for, may):
    found = list(holders(looked_for))
    assert [f"{module}:{line}" for module, line in found if module not in may] == []
    assert {module for module, _line in found} == may  # it is really looked for


@pytest.mark.parametrize(
    ("looked_for", "code"),
    [
        (reads_the_business, "Business.objects.first()"),
        (reads_the_business, "models.Business.objects.values_list('name').first()"),
        (makes_a_date_of_now, "date.today()"),
        (makes_a_date_of_now, "datetime.date.today()"),
        (makes_a_date_of_now, "timezone.localdate()"),
        (makes_a_date_of_now, "timezone.now().date()"),
        (makes_a_date_of_now, "datetime.datetime.now(zone).date()"),
        (asks_the_database_for_a_date, "rows.filter(fitted_at__date__gte=day)"),
        (derives_expected_times, "clock.day_times(timetable, at)"),
        (reads_csv, "csv.DictReader(text)"),
        (decodes_a_file, "content.decode('utf-8-sig')"),
        (names_a_measured_function, "{'tube_height', 'oil_level', 'tyre_pressure'}"),
        (names_a_measured_function, "(F.TUBE_HEIGHT, F.OIL_LEVEL, F.LINKAGE)"),
        (says_minutes_of_heat, "_('Push it hot, within 5 minutes of the stop.')"),
        (says_minutes_of_heat, "HOT_MINUTES = 5"),
    ],
)
def test_a_second_place_is_seen(looked_for, code):
    assert any(looked_for(node) for node in ast.walk(ast.parse(code)))


@pytest.mark.parametrize(
    ("looked_for", "code"),
    [
        (reads_the_business, "Business.objects.update_or_create(pk=1, defaults={})"),
        (makes_a_date_of_now, "clock.local(trackday, moment).date()"),
        (makes_a_date_of_now, "clock.today(trackday)"),
        (asks_the_database_for_a_date, "rows.filter(trackday__date__gte=day)"),
    ],
)
def test_what_is_no_second_place_is_let_be(looked_for, code):
    assert not any(looked_for(node) for node in ast.walk(ast.parse(code)))
