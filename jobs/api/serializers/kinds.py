"""The acts of a request in the schema: one component for each kind, told apart by ``kind``."""

import re
from typing import Any

from drf_spectacular.utils import PolymorphicProxySerializer, extend_schema_field
from rest_framework import serializers

from jobs.acts.registry import KINDS, Kind

from .acts import ActIn

MOST_ACTS = 100  # of one request
Component = serializers.Serializer[Any] | type[serializers.Serializer[Any]]


def act_components() -> dict[str, Component]:
    """By the kind's name, an act whose payload is that of the kind's version of today."""
    return {name: _act_of(kind) for name, kind in sorted(KINDS.items())}


def _act_of(kind: Kind) -> type[ActIn]:
    name = "".join(word.capitalize() for word in re.split(r"[\W_]+", kind.name))
    fields = {
        "__doc__": f"“{kind.name}”, version {kind.version}.",
        "kind": serializers.ChoiceField([kind.name]),
        "payload": kind.payload(),
    }
    return type(f"{name}Act", (ActIn,), fields)


@extend_schema_field(
    PolymorphicProxySerializer(
        component_name="ActOfAnyKind",
        serializers=act_components,
        resource_type_field_name="kind",
        many=True,
    )
)
class ActsField(serializers.ListField):
    """Each act is read when it is applied, so that a wrong one does not reject the others."""


class ActsIn(serializers.Serializer[Any]):
    acts = ActsField(allow_empty=False, max_length=MOST_ACTS)
