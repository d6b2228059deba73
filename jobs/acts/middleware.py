"""Answers a tablet's queue in words it can keep: never a redirect, never a page."""

import logging
from collections.abc import Callable
from html.parser import HTMLParser
from http import HTTPStatus
from typing import Any

from django.contrib.messages import get_messages
from django.core.exceptions import (
    BadRequest,
    PermissionDenied,
    SuspiciousOperation,
    ValidationError,
)
from django.db import DatabaseError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from . import tablets
from .tablets import OutOfTurn, SentAct, ShutOut, SignIn

logger = logging.getLogger(__name__)

# What may pass when it is sent again, and what Django has an answer to.
PASSES = (
    *(DatabaseError, OSError, MemoryError),
    *(Http404, PermissionDenied, SuspiciousOperation, BadRequest),
)


class SentActs:
    """For requests with ``X-Act-Id`` only; see tablets.py. Stands before the access table."""

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
        except ShutOut:
            return _answer("shut out", "", HTTPStatus.GONE)
        except SignIn:
            return _answer("sign in", _("Please sign in again."), HTTPStatus.UNAUTHORIZED)
        except OutOfTurn as error:
            return _out_of_turn(error)
        except ValidationError as error:
            return _answer("refused", " ".join(error.messages))

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if isinstance(error, OutOfTurn):
            return _out_of_turn(error)
        sent = getattr(request, "sent_act", None)
        if sent is None or isinstance(error, PASSES):
            return None
        # Answered as a failure it would be sent for ever, and before all others.
        if isinstance(error, ValidationError):
            sent.fault = " ".join(error.messages)
        else:
            logger.error("An act failed: %s %s", request.path, sent.id, exc_info=error)
            sent.fault = _(
                "The program failed at this one and wrote nothing. What you entered is kept "
                "here: tell the office."
            )
        return _answer("refused", sent.fault)

    def _answered(self, request: HttpRequest, sent: SentAct) -> HttpResponse:
        response = self.get_response(request)
        if response.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            return response  # whatever it did may have been undone: the tablet keeps the act
        said = " ".join(str(message) for message in get_messages(request))  # and so not shown again
        if sent.act is None:
            if response.status_code == HTTPStatus.UNAUTHORIZED:
                raise SignIn
            if response.status_code == HTTPStatus.CONFLICT:
                return response
            if _stale_token(request, response):
                return _answer("try again", "", HTTPStatus.FORBIDDEN)
            if sent.known_before:
                return response  # refused: its id is another act's, which stays what it is
            payload = {"address": request.path, **request.POST.dict()}
            reason = sent.fault or said or _reason(response)
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


def _answer(outcome: str, text: str, status: int = 200, **more: Any) -> JsonResponse:
    return JsonResponse({"outcome": outcome, "text": text, **more}, status=status)


def _stale_token(request: HttpRequest, response: HttpResponse) -> bool:
    """Whether it was the CSRF token that was turned away, which says nothing of the act."""
    return response.status_code == HTTPStatus.FORBIDDEN and not getattr(
        request, "csrf_processing_done", False
    )


def _reason(response: HttpResponse) -> str:
    """Why a view took no act, in the words its page would have shown."""
    if response.status_code == HTTPStatus.FORBIDDEN:
        return _("Your role may not do this.")
    if response.status_code == HTTPStatus.NOT_FOUND:
        return _("What this refers to is not here any more.")
    alerts = _Alerts()
    if not response.streaming and response.headers.get("Content-Type", "").startswith("text/html"):
        alerts.feed(response.content.decode(response.charset, "replace"))
    return " ".join(alerts.words) or _("It was not accepted as it was filled in.")


class _Alerts(HTMLParser):
    """The text of everything a page marks as an error."""

    VOID = frozenset({"br", "hr", "img", "input", "link", "meta", "wbr"})

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self._depth = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        marked = "errorlist" in (given.get("class") or "") or given.get("role") == "alert"
        if tag not in self.VOID and (self._depth or marked):
            self._depth += 1

    def handle_endtag(self, tag: str) -> None:
        if self._depth and tag not in self.VOID:
            self._depth -= 1

    def handle_data(self, data: str) -> None:
        if self._depth and data.strip():
            self.words.append(" ".join(data.split()))
