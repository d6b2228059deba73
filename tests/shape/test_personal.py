"""Every column in which words can stand is declared: personal, the business's, or secret."""

import pytest
from django.apps import apps
from django.db import models
from django.test.utils import isolate_apps

from jobs.acts.columns import columns_with_words, declared, models_of_the_project
from jobs.acts.customer_rows import CustomerRows
from jobs.acts.removal import BY_CONTENT, DOCUMENTS
from jobs.people.models import Customer

ATTRIBUTES = ("personal_columns", "business_columns", "secret_columns")


def undeclared(model: type[models.Model]) -> set[str]:
    named = {name for attribute in ATTRIBUTES for name in declared(model, attribute)}
    return {f"{model._meta.label}.{c.name}" for c in columns_with_words(model)} - {
        f"{model._meta.label}.{name}" for name in named
    }


def misnamed(model: type[models.Model]) -> set[str]:
    """Names that are no column of the model, or that are declared twice."""
    named = [name for attribute in ATTRIBUTES for name in declared(model, attribute)]
    columns = {column.name for column in model._meta.concrete_fields}
    return {n for n in named if n not in columns or named.count(n) > 1}


def test_every_column_with_words_is_declared():
    assert {name for model in models_of_the_project() for name in undeclared(model)} == set()


def test_what_is_declared_is_a_column_and_declared_once():
    assert {model._meta.label: misnamed(model) for model in models_of_the_project()} == {
        model._meta.label: set() for model in models_of_the_project()
    }


def test_what_is_said_of_a_removed_column_is_said_of_a_personal_one():
    for model in models_of_the_project():
        assert set(getattr(model, "removed_words", {})) <= declared(model, "personal_columns")


def test_only_these_tables_of_libraries_stand_beside_ours():
    """They hold names of permissions and of tables; sessions are emptied by the removal."""
    others = set(apps.get_models()) - set(models_of_the_project())
    assert {model._meta.label for model in others} == {
        "auth.Group", "auth.Permission", "contenttypes.ContentType", "sessions.Session",
    }  # fmt: skip


@pytest.mark.django_db
def test_every_personal_column_is_reached_by_the_removal():
    about = CustomerRows(Customer.objects.create(name="Ada"))
    beyond_reach = {
        model._meta.label
        for model in models_of_the_project()
        if declared(model, "personal_columns")
        and model not in (*BY_CONTENT, *DOCUMENTS)
        and about.rows(model) is None
    }
    assert beyond_reach == set()


@isolate_apps("jobs.acts")
def test_the_check_can_fail():
    """A column nobody declared, one declared twice, and one that does not exist are seen."""

    class Inherited(models.Model):
        note = models.TextField()
        business_columns = ("note",)

        class Meta:
            abstract = True
            app_label = "acts"

    class Table(Inherited):
        mail = models.EmailField()
        kind = models.CharField(max_length=2, choices=[("a", "A")])
        data = models.JSONField()
        number = models.DecimalField(max_digits=3, decimal_places=1)
        personal_columns = ("data", "gone")
        secret_columns = ("data",)

        class Meta:
            app_label = "acts"

    assert undeclared(Table) == {"acts.Table.mail"}
    assert misnamed(Table) == {"data", "gone"}
