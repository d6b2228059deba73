"""The trail of acts once a customer is removed: what was done stays, the words go.

The same act sent again is still answered by the row that is kept, so no word comes back.
"""

import uuid
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Model, UUIDField

from jobs.garage.models import Adjuster, Bike
from jobs.people.models import Rider
from jobs.trackday.models import Entry

from .columns import models_of_the_project
from .customer_rows import CustomerRows
from .enums import Outcome
from .models import Act
from .registry import KINDS, field_names, payload_of, personal_fields
from .same_id import FORM

# Fields of a payload or an answer that name a row by its number.
NUMBERED: dict[str, type[Model]] = {
    "entry": Entry, "to": Entry, "bike": Bike, "adjuster": Adjuster, "rider": Rider,
}  # fmt: skip


def acts_about(about: CustomerRows) -> list[Act]:
    """The acts that name a row about the customer, and refused ones that name nobody's.

    A refused act made no row. Where its payload names no row either, nothing tells whose
    words it carries: they may be the customer's.
    """
    ids = about.ids()
    numbers = {name: _numbers(about, model) for name, model in NUMBERED.items()}
    found, refused = [], []
    columns = ("kind", "version", "payload", "answer", "outcome", "done_at")
    for act in Act.objects.only(*columns).iterator():
        named = list(_named((act.payload, act.answer)))
        if (
            str(act.pk) in ids
            or any(value in numbers.get(name, ids) for name, value in named)
            or any(name == "bike" and about.owned_then(value, act.done_at) for name, value in named)
        ):
            found.append(act)
        elif act.outcome == Outcome.REFUSED:
            refused.append((act, named))
    return found + _of_nobody(refused)


def words_remove(acts: Iterable[Act]) -> None:
    """Take the personal fields out of the payloads, and every word out of the answers."""
    for act in acts:
        act.payload = _payload_without_words(act)
        act.answer = {**_only_ids(act.answer), "text": ""}
        if act.kind not in KINDS:
            act.kind = FORM
        act.save(update_fields=["kind", "version", "payload", "answer"])


def photo_ids(acts: Iterable[Act]) -> set[uuid.UUID]:
    """The photos that came with these acts, also those the act was refused with."""
    found = {uuid.uuid5(act.pk, "photo") for act in acts}
    for act in acts:
        photo = _uuid(act.payload.get("photo"))
        found |= {photo} if photo else set()
    return found


def _numbers(about: CustomerRows, model: type[Model]) -> frozenset[str]:
    rows = about.rows(model)
    if rows is None:
        return frozenset()
    return frozenset(str(pk) for pk in rows.values_list("pk", flat=True))


def _named(value: Any, name: str = "") -> Iterator[tuple[str, str]]:
    """Each (field, id) by which a payload or an answer names a row."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _named(one, key)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _named(one, name)
    elif name in NUMBERED and str(value).isdecimal():
        yield name, str(value)
    elif (found := _uuid(value)) is not None:
        yield "", str(found)


def _uuid(value: Any) -> uuid.UUID | None:
    try:
        return uuid.UUID(value)
    except (AttributeError, TypeError, ValueError):
        return None


def _of_nobody(refused: list[tuple[Act, list[tuple[str, str]]]]) -> list[Act]:
    """Those of the refused acts that name no row there is."""
    ids = {value for _act, named in refused for name, value in named if not name}
    there = {
        ("", str(pk))
        for model in models_of_the_project()
        if isinstance(model._meta.pk, UUIDField) and model is not Act
        for pk in model._default_manager.filter(pk__in=ids).values_list("pk", flat=True)
    }
    for name, model in NUMBERED.items():
        numbers = {value for _act, named in refused for one, value in named if one == name}
        rows = model._default_manager.filter(pk__in=numbers)
        there |= {(name, str(pk)) for pk in rows.values_list("pk", flat=True)}
    return [act for act, named in refused if not there.intersection(named)]


def _payload_without_words(act: Act) -> Any:
    """Of a kind nobody knows everything is personal; a refused payload was never checked."""
    try:
        payload = payload_of(act)
    except ValidationError:
        return {}
    act.version = KINDS[act.kind].version
    kept = _fields_kept(payload, personal_fields(act.kind), field_names(act.kind))
    return _only_ids(kept) if act.outcome == Outcome.REFUSED else kept


def _fields_kept(value: Any, personal: frozenset[str], known: frozenset[str]) -> Any:
    if isinstance(value, dict):
        return {
            key: "" if key in personal else _fields_kept(one, personal, known)
            for key, one in value.items()
            if key in known
        }
    return [_fields_kept(one, personal, known) for one in value] if _is_list(value) else value


def _only_ids(value: Any) -> Any:
    """Ids, numbers and times stay; any other text is emptied."""
    if isinstance(value, dict):
        return {key: _only_ids(one) for key, one in value.items()}
    if _is_list(value):
        return [_only_ids(one) for one in value]
    return "" if isinstance(value, str) and not _is_id_or_time(value) else value


def _is_list(value: Any) -> bool:
    return isinstance(value, list)


def _is_id_or_time(text: str) -> bool:
    if _uuid(text) is not None:
        return True
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False
