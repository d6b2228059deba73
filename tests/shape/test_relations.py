"""What import-linter cannot see: foreign keys and migrations are strings, signals hide calls."""

import ast
import re

import pytest
from django.apps import apps
from django.db.migrations.loader import MigrationLoader
from django.db.models import Field

from .source import DEPTH, ROOT, SURFACES, files, room_of


def cross_room_fields() -> list[Field]:
    return [
        field
        for model in apps.get_models()
        if model._meta.app_label in DEPTH
        for field in model._meta.get_fields()
        if field.is_relation
        and getattr(field, "remote_field", None)
        and not field.auto_created
        and field.related_model._meta.app_label != model._meta.app_label
    ]


def test_foreign_keys_point_downward():
    upward = [
        str(field)
        for field in cross_room_fields()
        if field.related_model._meta.app_label in DEPTH
        and DEPTH[field.related_model._meta.app_label] <= DEPTH[field.model._meta.app_label]
    ]
    assert upward == []


def test_foreign_keys_to_another_room_name_their_way_back():
    unnamed = [str(f) for f in cross_room_fields() if f.remote_field.related_name is None]
    assert unnamed == [f for f in unnamed if f.startswith("people.User.")]  # Django's own


def test_the_migration_graph_points_downward():
    graph = MigrationLoader(None).graph
    upward = [
        f"{child} needs {parent}"
        for child, node in graph.node_map.items()
        for parent in (parent.key for parent in node.parents)
        if child[0] in DEPTH
        and parent[0] in DEPTH
        and child[0] != parent[0]
        and DEPTH[parent[0]] <= DEPTH[child[0]]
    ]
    assert upward == []


@pytest.mark.parametrize("module", ["django.dispatch", "django.db.models.signals"])
def test_rooms_do_not_signal_one_another(module: str):
    found = [
        str(path.relative_to(ROOT))
        for path in files(".py", homes=("jobs",))
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ImportFrom)
        and (node.module == module or f"{node.module}.{node.names[0].name}" == module)
    ]
    assert found == []


def test_no_model_is_fetched_by_a_string():
    found = [
        str(path.relative_to(ROOT))
        for path in files(".py", homes=("jobs",))
        if re.search(r"\bapps\.get_model\b|\bget_app_config\b", path.read_text())
    ]
    assert found == []


def test_nothing_below_a_surface_links_up_to_one():
    link = re.compile(rf"""(reverse|redirect|url)\(?\s*['"]({"|".join(SURFACES)}):""")
    found = [
        str(path.relative_to(ROOT))
        for path in files(".py", ".html", homes=("jobs",))
        if room_of(path) in DEPTH
        and room_of(path) not in SURFACES
        and link.search(path.read_text())
    ]
    assert found == []
