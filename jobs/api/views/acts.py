"""Acts from devices. Each is read and answered on its own; a refused one stops no other."""

import uuid
from http import HTTPStatus
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.acts import tablets
from jobs.acts.describing import payload_described
from jobs.acts.faults import RETRY_AFTER_S, fault_note, fault_of
from jobs.acts.models import Act
from jobs.acts.registry import KINDS, Kind
from jobs.acts.services import error_texts
from jobs.people.models import Device, User

from ..parsers import BoundedJSONParser
from ..serializers.acts import WAITS, ActIn, ActsOut, ActsWait, KindOut
from ..serializers.kinds import ActsIn


class ActsView(APIView):
    parser_classes = [BoundedJSONParser]

    @extend_schema(
        request=ActsIn, responses={HTTPStatus.OK: ActsOut, HTTPStatus.SERVICE_UNAVAILABLE: ActsWait}
    )
    def post(self, request: Request) -> Response:
        """Apply up to a hundred acts in the order given. Each is answered; the rest go on.

        After an act that waits for an earlier one of its device nothing more is tried, nor
        while the server cannot write.
        """
        posted = ActsIn(data=request.data)
        posted.is_valid(raise_exception=True)
        try:
            device = tablets.device_read(_django(request))
        except tablets.DeviceLost:
            return Response({"error": "shut out"}, status=status.HTTP_410_GONE)
        answers: list[dict[str, Any]] = []
        for given in posted.validated_data["acts"]:
            try:
                answer = act_answer(given, by=request.user, device=device)  # type: ignore[arg-type]
            except Exception as error:
                fault = fault_note(error)
                if fault is None:
                    raise
                return _wait(answers, str(fault.label))
            answers.append(answer)
            if answer["outcome"] == WAITS:
                break
        return Response(ActsOut({"answers": answers}).data)


def _wait(answers: list[dict[str, Any]], error: str) -> Response:
    return Response(
        ActsWait({"answers": answers, "error": error}).data,
        status=HTTPStatus.SERVICE_UNAVAILABLE,
        headers={"Retry-After": RETRY_AFTER_S},
    )


def _django(request: Request) -> HttpRequest:
    return request._request


def act_answer(given: Any, *, by: User, device: Device | None) -> dict[str, Any]:
    """Read one act, apply it in the order of its device, and return its answer."""
    form = ActIn(data=given)
    read = form.validated_data if form.is_valid() else _readable(form, given)
    if read is None:
        return _answer(None, "refused", " ".join(error_texts(form.errors)))
    sent = tablets.SentAct(
        id=read["id"],
        by=by,
        device=device,
        seq=read["seq"] if device else None,
        at=read["done_at"],
        offset_s=read["offset_s"],
    )
    try:
        act = _refused(sent, form, given) if form.errors else _applied(sent, read)
    except tablets.OutOfTurn as error:
        return _answer(sent.id, WAITS, "", expected=error.expected)
    except ValidationError as error:
        return _answer(sent.id, "refused", " ".join(error.messages))
    return _of_act(act, sent.known_before)


def _readable(form: ActIn, given: Any) -> dict[str, Any] | None:
    """Of an act that is no act: its id and its number, under which its refusal is kept."""
    if not isinstance(given, dict) or "id" in form.errors or "seq" in form.errors:
        return None
    seq = given.get("seq")
    return {
        "id": form.fields["id"].run_validation(given.get("id")),
        "seq": None if seq is None else form.fields["seq"].run_validation(seq),
        "done_at": None,
        "offset_s": 0.0,
    }


def _refused(sent: tablets.SentAct, form: ActIn, given: dict[str, Any]) -> Act:
    reason = " ".join(error_texts(form.errors))
    return tablets.sent_act_refuse(sent, payload=given, reason=reason)


def _applied(sent: tablets.SentAct, read: dict[str, Any]) -> Act:
    """An act at which the program fails is refused and kept: it must not stop the others."""
    names = ("kind", "version", "payload", "trackday")
    kind, version, payload, trackday = (read[name] for name in names)
    try:
        return tablets.sent_act_apply(
            sent, kind=kind, version=version, payload=payload, trackday=trackday
        )
    except (tablets.OutOfTurn, ValidationError):
        raise
    except Exception as error:
        if fault_of(error) is not None:
            raise
        reason = tablets.failure_log(sent.id, kind, error)
        kept = {"kind": kind, "version": version, "payload": payload}
        return tablets.sent_act_refuse(sent, payload=kept, reason=reason)


def _of_act(act: Act, already: bool) -> dict[str, Any]:
    made = {name: value for name, value in act.answer.items() if name != "text"}
    return _answer(
        act.pk,
        act.outcome,
        act.answer.get("text", ""),
        made=made,
        revision=act.revision,
        already=already,
    )


def _answer(act_id: uuid.UUID | None, outcome: str, text: str, **more: Any) -> dict[str, Any]:
    empty: dict[str, Any] = {"made": {}, "revision": None, "already": False, "expected": None}
    return {"id": act_id, "outcome": outcome, "text": text, **empty, **more}


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
        "version": kind.version,
        "roles": sorted(kind.roles),
        "taken_back": kind.taken_back.how,
        "payload": payload_described(kind),
    }
