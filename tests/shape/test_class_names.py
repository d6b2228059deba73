"""One name, one meaning: no two classes of the product have the same name."""

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db.models import TextChoices

from jobs.garage import enums as garage
from jobs.setups import enums as setups
from jobs.tuning import terms

from .source import ROOT, files

# A framework looks for a class of this name in each place.
FRAMEWORK = {"Meta", "Command"}

# Choices with labels for the database, over the pure values of the same name: one meaning.
CHOICES: list[type[TextChoices]] = [
    garage.End,
    garage.Firming,
    garage.Leg,
    garage.OilState,
    garage.Origin,
    garage.TravelPlace,
    garage.TyreState,
    setups.Phase,
    setups.Verdict,
]


def classes(sources: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """Of (place, code): each class that may be named elsewhere, and its place."""
    for place, code in sources:
        for node in ast.walk(ast.parse(code)):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                yield node.name, f"{place}:{node.lineno}"


def said_twice(sources: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    places: dict[str, list[str]] = defaultdict(list)
    for name, place in classes(sources):
        places[name].append(place)
    return {
        name: found for name, found in places.items() if len(found) > 1 and name not in FRAMEWORK
    }


def test_no_two_classes_have_the_same_name():
    sources = (
        (str(path.relative_to(ROOT)), path.read_text())
        for path in files(".py", homes=("jobs", "paddock"))
    )
    found = said_twice(sources)
    listed = {choices.__name__ for choices in CHOICES}
    assert {name: places for name, places in found.items() if name not in listed} == {}
    assert {name: len(found.get(name, [])) for name in listed} == dict.fromkeys(listed, 2)


def test_choices_of_the_same_name_have_the_same_values():
    for choices in CHOICES:
        pure = getattr(terms, choices.__name__)
        assert {one.name: one.value for one in choices} == {one.name: one.value for one in pure}


def test_a_second_class_of_a_name_is_seen():
    sources = [
        ("a.py", "class Line: ...\nclass Form:\n    class Meta: ..."),
        ("b.py", "def f():\n    class Line:\n        class Meta: ..."),
    ]
    assert said_twice(sources) == {"Line": ["a.py:1", "b.py:2"]}
