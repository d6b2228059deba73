"""Which kinds of act there are: for each its payload, who may do it, and its handler.

A handler module under ``jobs/acts/handlers`` registers its kinds at start-up:

    @act("hold", payload=HoldPayload, roles=CREW)
    def hold(context, data):
        ...
        return Answer(_("Bike held."))
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from rest_framework import serializers

from jobs.people.models import Device, User

from .enums import Outcome


@dataclass
class Context:
    """Who did the act, when, and on which day it turned out to be."""

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


Handler = Callable[[Context, dict[str, Any]], Answer]


@dataclass(frozen=True)
class Kind:
    name: str
    payload: type[serializers.Serializer]
    roles: frozenset[str]
    handler: Handler


KINDS: dict[str, Kind] = {}


def act(
    name: str, *, payload: type[serializers.Serializer], roles: frozenset[str]
) -> Callable[[Handler], Handler]:
    """Register the handler of one kind of act. A name is registered once."""

    def register(handler: Handler) -> Handler:
        if name in KINDS:
            raise ValueError(f"the act {name!r} is registered twice")
        KINDS[name] = Kind(name, payload, roles, handler)
        return handler

    return register
