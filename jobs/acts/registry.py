"""The kinds of act. Forms, API, demo, removal and takeaway read this registry.

A handler module under ``jobs/acts/handlers`` registers its kinds at start-up:

    @act("hold", payload=HoldPayload, roles=CREW, taken_back=NEVER)
    def hold(context, data):
        ...
        return Answer(_("Bike held."))

A payload is a serializer whose fields are those of ``fields.py``. When a payload changes so
that what was written before would be read differently, the kind gets a new version: a
function that turns the payload of the version before into the new one, appended to
``upcasters``. What was kept under an older version stays readable.
"""

import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from rest_framework import serializers

from jobs.people.models import Device, User

from .enums import Outcome
from .fields import TextField

if TYPE_CHECKING:
    from .models import Act

Payload = dict[str, Any]


@dataclass
class Context:
    """Who did the act, when, on which device, and on which trackday."""

    act_id: uuid.UUID
    by: User
    done_at: datetime
    device: Device | None = None
    trackday_id: int | None = None

    def further_id(self, name: str) -> uuid.UUID:
        """A primary key for a second row of this act, the same on every retry."""
        return uuid.uuid5(self.act_id, name)


@dataclass(frozen=True)
class Answer:
    """What the person is told. ``data`` is for screens: ids of rows, new positions."""

    text: str
    outcome: Outcome = Outcome.APPLIED
    data: dict[str, Any] = field(default_factory=dict)


Handler = Callable[[Context, Payload], Answer]
# From the payload of one version to that of the next: a pure function of the payload.
Upcaster = Callable[[Payload], Payload]


@dataclass(frozen=True)
class TakenBack:
    """How an act is taken back: see ``withdrawing.py``."""

    how: str
    act: "Callable[[Context, Act], str] | None" = None
    by_anybody: bool = False  # a helper may take back what a tuner wrote


NEVER = TakenBack("not at all")
BY_ROW = TakenBack("by the row it wrote")


def by_act(take_back: "Callable[[Context, Act], str]", *, by_anybody: bool = False) -> TakenBack:
    """The effect is not one row of its own: ``take_back`` undoes it and answers in words.

    ``by_anybody``: it is a fact, which whoever sees that it is wrong corrects.
    """
    return TakenBack("by the act", take_back, by_anybody)


@dataclass(frozen=True)
class Kind:
    """One kind of act. ``upcasters[0]`` leads from version 1 to 2, and so on."""

    name: str
    payload: type[serializers.Serializer[Any]]
    roles: frozenset[str]
    handler: Handler
    taken_back: TakenBack = NEVER
    upcasters: tuple[Upcaster, ...] = ()

    @property
    def version(self) -> int:
        return len(self.upcasters) + 1

    def upcast(self, payload: Payload, version: int) -> Payload:
        """The payload as today's version has it. Raises ValidationError in words."""
        if not 1 <= version <= self.version:
            raise ValidationError(
                _("Version %(version)s of “%(kind)s” is not known here.")
                % {"version": version, "kind": self.name}
            )
        try:
            for step in self.upcasters[version - 1 :]:
                payload = step(payload)
        except (LookupError, TypeError, ValueError, AttributeError) as error:
            raise ValidationError(
                _("This is not what version %(version)s of “%(kind)s” holds.")
                % {"version": version, "kind": self.name}
            ) from error
        return payload


KINDS: dict[str, Kind] = {}


def act(
    name: str,
    *,
    payload: type[serializers.Serializer[Any]],
    roles: frozenset[str],
    taken_back: TakenBack,
    upcasters: tuple[Upcaster, ...] = (),
) -> Callable[[Handler], Handler]:
    """Register the handler of one kind of act. A name is registered once."""

    def register(handler: Handler) -> Handler:
        if name in KINDS:
            raise ValueError(f"the act {name!r} is registered twice")
        KINDS[name] = Kind(name, payload, roles, handler, taken_back, upcasters)
        return handler

    return register


def kind_get(name: str) -> Kind:
    """Raises ValidationError in words for a kind nobody registered."""
    if name not in KINDS:
        raise ValidationError(_("There is no act called “%(kind)s”.") % {"kind": name})
    return KINDS[name]


def payload_of(act: "Act") -> Payload:
    """The payload of a kept act, in today's version of its kind."""
    return kind_get(act.kind).upcast(act.payload, act.version)


class EveryField(frozenset[str]):
    """The personal fields of a payload nobody knows any more: it contains every name."""

    def __contains__(self, name: object) -> bool:
        return True


EVERY_FIELD = EveryField()


def personal_fields(kind: str, version: int | None = None) -> frozenset[str]:
    """Names of the payload's fields, at any depth, whose text may tell who somebody is.

    Of an unknown kind, such as an act that a page refused, and of another version than
    today's, every field counts as personal: EVERY_FIELD, which contains every name.
    """
    known = KINDS.get(kind)
    if known is None or version not in (None, known.version):
        return EVERY_FIELD
    fields = _fields(known.payload())
    return frozenset(n for n, one in fields if isinstance(one, TextField) and one.personal)


def field_names(kind: str) -> frozenset[str]:
    """Names of every field a payload of this kind may have, at any depth."""
    return frozenset(name for name, _field in _fields(KINDS[kind].payload()))


def _fields(
    field: serializers.Field[Any, Any, Any, Any] | None,
) -> Iterator[tuple[str, serializers.Field[Any, Any, Any, Any]]]:
    if isinstance(field, serializers.ListSerializer):
        yield from _fields(field.child)
    elif isinstance(field, serializers.Serializer):
        for name, inner in field.fields.items():
            yield name, inner
            yield from _fields(inner)
