"""Refuses what no column can keep, where no form has refused it by the name of its field before.

A NUL is refused for both databases alike: SQLite would keep it, PostgreSQL cannot, and a move
between them would fail. Other faults of data (PostgreSQL's class 22: too long, too large, no
such date) undo what the view wrote. Acts name their fields themselves (``jobs/acts``).
"""

import logging
from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django.db import DataError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from jobs.people.access import wants_json

log = logging.getLogger(__name__)

ACT_FIELDS = ("act_id", "act_kinds")


class RefusedData:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: Any) -> HttpResponse | None:
        if "X-Act-Id" in request.headers or any(name in request.POST for name in ACT_FIELDS):
            return None
        sent = [*request.GET.lists(), *request.POST.lists()]
        has_nul = any("\0" in text for name, texts in sent for text in (name, *texts))
        return _refused(request) if has_nul else None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, DataError):
            return None
        log.warning("what was sent cannot be kept: %s", type(error.__cause__).__name__)
        return _refused(request)


def _refused(request: HttpRequest) -> HttpResponse:
    why = _(
        "Something in it is too long, too large, or has a character that cannot be kept. "
        "Nothing was written: go back, and change it."
    )
    if wants_json(request):
        return JsonResponse({"error": why}, status=HTTPStatus.BAD_REQUEST)
    # Without the request: nothing of the page asks the database.
    return HttpResponse(
        render_to_string("unkept.html", {"why": why}), status=HTTPStatus.BAD_REQUEST
    )
