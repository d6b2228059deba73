"""Which columns hold personal text, as the models themselves declare it.

Every model of the project names each of its text, JSON and file columns in one of three
class attributes; an abstract model passes its own on:

    personal_columns  may tell who a customer or rider is, or holds what was typed about them
    business_columns  the words of the business, of the program, or about the machine
    secret_columns    opens a door, such as the hash of a password: never given out

A personal column is emptied when its customer is removed (``removal.py``). ``removed_words``
of a model says what stands in a column instead of nothing.
"""

from collections.abc import Iterable
from typing import Any

from django.apps import apps
from django.db.models import CharField, Field, Model, Value
from django.db.models.functions import Cast, Concat
from django.utils.translation import gettext as _

# Types of column in which nobody can write words.
WITHOUT_WORDS = frozenset({
    "AutoField", "BigAutoField", "BigIntegerField", "BooleanField", "DateField",
    "DateTimeField", "DecimalField", "FloatField", "ForeignKey", "IntegerField",
    "OneToOneField", "PositiveBigIntegerField", "PositiveIntegerField",
    "PositiveSmallIntegerField", "SmallIntegerField", "UUIDField",
})  # fmt: skip


def models_of_the_project() -> list[type[Model]]:
    """Every model that is not a library's."""
    return [model for model in apps.get_models() if model.__module__.startswith("jobs.")]


def declared(model: type[Model], attribute: str) -> frozenset[str]:
    """The columns ``model`` and the models it inherits from name in ``attribute``."""
    return frozenset(name for cls in model.__mro__ for name in vars(cls).get(attribute, ()))


def personal_columns(model: type[Model]) -> list[Field[Any, Any]]:
    """The personal columns of a model, in the order of its table."""
    names = declared(model, "personal_columns")
    return [field for field in model._meta.concrete_fields if field.name in names]


def columns_with_words(model: type[Model]) -> list[Field[Any, Any]]:
    """The columns of a model in which words can stand: all but numbers, times, ids, choices."""
    return [
        field
        for field in model._meta.concrete_fields
        if field.get_internal_type() not in WITHOUT_WORDS and not field.choices
    ]


def database_names(models: Iterable[type[Model]], attribute: str) -> frozenset[str]:
    """The columns declared in ``attribute``, as "table.column"."""
    return frozenset(
        f"{model._meta.db_table}.{model._meta.get_field(name).column}"  # type: ignore[union-attr]
        for model in models
        for name in declared(model, attribute)
    )


def emptied(field: Field[Any, Any]) -> Any:
    """What stands in a personal column once its customer is removed, for a query's update."""
    removed_words = getattr(field.model, "removed_words", {})
    if field.name in removed_words:
        return str(removed_words[field.name])
    if field.unique:
        return Concat(Value("removed-"), Cast("pk", CharField()))
    if field.null:
        return None
    if field.blank or field.has_default():
        return field.get_default()
    return _("removed")
