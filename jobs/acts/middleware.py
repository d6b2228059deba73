"""Answers every act of a tablet's queue as JSON: its outcome and a text; never a page."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django.contrib.messages import get_messages
from django.core.exceptions import (
    BadRequest,
    PermissionDenied,
    SuspiciousOperation,
    ValidationError,
)
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from . import damage, tablets
from .faults import RETRY_AFTER_S, ServerFault, fault_note
from .tablets import DeviceLost, OutOfTurn, SentAct, SignInRequired

# Django itself answers these: not found, forbidden, bad request.
DJANGO_ANSWERED = (Http404, PermissionDenied, SuspiciousOperation, BadRequest)


READS = ("GET", "HEAD", "OPTIONS")
# Still open while the database is damaged: who can sign in can read, and take the data away.
# The acts of the API are answered one by one (``services.act_apply``).
OPEN_WHILE_DAMAGED = frozenset(
    {
        "signin",
        "signout",
        "theme",
        "account:second",
        "account:second-key",
        "tablet:pin",
        "tablet:switch",
        "api:acts",
    }
)


class NothingNewWhileDamaged:
    """Raises KnownDamage before any view that would write into a damaged database."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: Any) -> None:
        match = request.resolver_match
        name = (match and match.view_name) or ""
        if request.method not in READS and name not in OPEN_WHILE_DAMAGED:
            damage.refuse_while_marked()


class SentActs:
    """Handles requests with ``X-Act-Id`` (see tablets.py). Runs before the access check."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method != "POST" or "X-Act-Id" not in request.headers:
            return self.get_response(request)
        try:
            sent = tablets.read(request)
            request.user = sent.by
            request.sent_act = sent  # type: ignore[attr-defined]
            return self._answered(request, sent)
        except DeviceLost:
            return _answer("shut out", "", HTTPStatus.GONE)
        except SignInRequired:
            return _answer("sign in", _("Please sign in again."), HTTPStatus.UNAUTHORIZED)
        except OutOfTurn as error:
            return _out_of_turn(error)
        except ValidationError as error:
            return _answer("refused", " ".join(error.messages))
        except Exception as error:
            fault = fault_note(error)
            if fault is None:
                raise
            return waits(fault)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, OutOfTurn):
            return _out_of_turn(error)
        sent = getattr(request, "sent_act", None)
        if sent is None or isinstance(error, DJANGO_ANSWERED):
            return None
        fault = fault_note(error)
        if fault is not None:
            return waits(fault)
        # With a failure as its answer it would be sent again for ever, and block all later acts.
        if isinstance(error, ValidationError):
            sent.fault = " ".join(error.messages)
        else:
            sent.fault = tablets.failure_log(sent.id, request.path, error)
        return _answer("refused", sent.fault)

    def _answered(self, request: HttpRequest, sent: SentAct) -> HttpResponse:
        response = self.get_response(request)
        if response.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            return response  # its effect may have been rolled back: the tablet keeps the act
        # Reading the messages removes them from the page that is opened next.
        said = " ".join(str(message) for message in get_messages(request))
        if sent.act is None:
            if response.status_code == HTTPStatus.UNAUTHORIZED:
                raise SignInRequired
            if response.status_code == HTTPStatus.CONFLICT:
                return response
            if _stale_token(request, response):
                return _answer("try again", "", HTTPStatus.FORBIDDEN)
            reason = sent.fault or said or _reason(response)
            if sent.known_before:  # its id is another act's, which stays what it is
                return _answer("refused", reason)
            payload = sent.kept or {"address": request.path, **request.POST.dict()}
            tablets.sent_act_refuse(sent, payload=payload, reason=reason)
        return _told(sent, response)


def _told(sent: SentAct, response: HttpResponse) -> JsonResponse:
    assert sent.act is not None
    return _answer(
        str(sent.act.outcome),
        sent.act.answer.get("text", ""),
        already=sent.known_before,
        next=response.headers.get("Location", ""),
    )


def _out_of_turn(error: OutOfTurn) -> JsonResponse:
    words = _("An earlier one has to arrive first.")
    return _answer("out of turn", words, HTTPStatus.CONFLICT, next_seq=error.expected)


def waits(fault: ServerFault) -> JsonResponse:
    """The act stays on the tablet, which sends it again by itself."""
    words = f"{fault.label} {_('Nothing is lost: it is kept here and sent again.')}"
    answer = _answer("waits", words, HTTPStatus.SERVICE_UNAVAILABLE)
    answer.headers["Retry-After"] = RETRY_AFTER_S
    return answer


def _answer(outcome: str, text: str, status: int = 200, **more: Any) -> JsonResponse:
    return JsonResponse({"outcome": outcome, "text": text, **more}, status=status)


def _stale_token(request: HttpRequest, response: HttpResponse) -> bool:
    """Whether the CSRF token was rejected. The act itself was then not looked at."""
    return response.status_code == HTTPStatus.FORBIDDEN and not getattr(
        request, "csrf_processing_done", False
    )


def _reason(response: HttpResponse) -> str:
    """Why a view took no act, where it gave no reason in words."""
    if response.status_code == HTTPStatus.FORBIDDEN:
        return _("Your role may not do this.")
    if response.status_code == HTTPStatus.NOT_FOUND:
        return _("What this refers to is not here any more.")
    return _("It was not accepted as it was filled in.")
