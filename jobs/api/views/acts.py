"""Acts from devices: one door, each answered by itself, none lost for another's fault."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.acts import tablets
from jobs.acts.models import Act
from jobs.acts.registry import KINDS, Kind
from jobs.people.models import Device, User

from ..serializers.acts import WAITS, ActsIn, ActsOut, KindOut


class ActsView(APIView):
    @extend_schema(request=ActsIn, responses=ActsOut)
    def post(self, request: Request) -> Response:
        """Apply up to a hundred acts in the order given. Each is answered; the rest go on.

        After an act that waits for an earlier one of its device nothing more is tried.
        """
        posted = ActsIn(data=request.data)
        posted.is_valid(raise_exception=True)
        try:
            device = tablets.device_read(_django(request))
        except tablets.ShutOut:
            return Response({"error": "shut out"}, status=status.HTTP_410_GONE)
        answers = []
        for given in posted.validated_data["acts"]:
            answer = act_answer(given, by=request.user, device=device)  # type: ignore[arg-type]
            answers.append(answer)
            if answer["outcome"] == WAITS:
                break
        return Response(ActsOut({"answers": answers}).data)


def _django(request: Request) -> HttpRequest:
    return request._request


def act_answer(given: dict[str, Any], *, by: User, device: Device | None) -> dict[str, Any]:
    """Apply one act through the door of tablets, and say what became of it."""
    sent = tablets.SentAct(
        id=given["id"],
        by=by,
        device=device,
        seq=given["seq"] if device else None,
        at=given["done_at"],
        offset_s=given["offset_s"],
    )
    try:
        act = tablets.sent_act_apply(
            sent, kind=given["kind"], payload=given["payload"], trackday=given["trackday"]
        )
    except tablets.OutOfTurn as error:
        return _answer(given, WAITS, "", expected=error.expected)
    except ValidationError as error:
        return _answer(given, "refused", " ".join(error.messages))
    return _applied(given, act, sent.known_before)


def _applied(given: dict[str, Any], act: Act, already: bool) -> dict[str, Any]:
    made = {name: value for name, value in act.answer.items() if name != "text"}
    return _answer(
        given,
        act.outcome,
        act.answer.get("text", ""),
        made=made,
        revision=act.revision,
        already=already,
    )


def _answer(given: dict[str, Any], outcome: str, text: str, **more: Any) -> dict[str, Any]:
    empty: dict[str, Any] = {"made": {}, "revision": None, "already": False, "expected": None}
    return {"id": given["id"], "outcome": outcome, "text": text, **empty, **more}


class KindsView(APIView):
    @extend_schema(responses=KindOut(many=True))
    def get(self, request: Request) -> Response:
        """Every kind of act the caller's role may do, with the fields of its payload."""
        role = request.user.role  # type: ignore[union-attr]
        found = [_kind(kind) for _name, kind in sorted(KINDS.items()) if role in kind.roles]
        return Response(KindOut(found, many=True).data)


def _kind(kind: Kind) -> dict[str, Any]:
    return {
        "name": kind.name,
        "roles": sorted(kind.roles),
        "payload": {name: _field(field) for name, field in kind.payload().fields.items()},
    }


def _field(field: serializers.Field) -> dict[str, Any]:
    said: dict[str, Any] = {
        "type": type(field).__name__.removesuffix("Field").lower(),
        "required": field.required,
    }
    if field.help_text:
        said["help"] = str(field.help_text)
    if isinstance(field, serializers.ChoiceField):
        said["choices"] = list(field.choices)
    if isinstance(field, serializers.ListSerializer) and field.child is not None:
        said["type"] = "list"
        inner = getattr(field.child, "fields", {})
        said["of"] = {name: _field(one) for name, one in inner.items()}
    return said
