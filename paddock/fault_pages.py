"""What is answered where the server cannot do its work, and where a form is not trusted."""

import sys
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import REASON_BAD_ORIGIN, REASON_NO_CSRF_COOKIE
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.views.defaults import page_not_found, permission_denied
from django.views.defaults import server_error as plain_server_error

from jobs.acts.faults import REMEDIES, RETRY_AFTER_S, ServerFault, fault_note
from jobs.acts.middleware import waits
from jobs.people.access import wants_json


def server_error(request: HttpRequest) -> HttpResponse:
    """Django's handler of what no view caught: a fault of the server is named, with what to do."""
    error = sys.exc_info()[1]
    fault = fault_note(error) if error is not None else None
    if fault is None:
        return plain_server_error(request)
    if "X-Act-Id" in request.headers:
        return waits(fault)
    if wants_json(request):
        answer: HttpResponse = JsonResponse({"error": fault.label})
    else:
        answer = HttpResponse(fault_page(fault))
    answer.status_code = HTTPStatus.SERVICE_UNAVAILABLE
    answer.headers["Retry-After"] = RETRY_AFTER_S
    answer.headers["Cache-Control"] = "no-store"
    return answer


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    if wants_json(request):
        return JsonResponse({"error": _("There is nothing here.")}, status=HTTPStatus.NOT_FOUND)
    return page_not_found(request, exception)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    if wants_json(request):
        words = str(exception) or _("Your role does not open this page.")
        return JsonResponse({"error": words}, status=HTTPStatus.FORBIDDEN)
    return permission_denied(request, exception)


def fault_page(fault: ServerFault) -> str:
    """Without a request: nothing of it asks the database."""
    return render_to_string("fault.html", {"fault": fault, "remedy": REMEDIES[fault]})


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose token is missing or old, or that came from another address."""
    if wants_json(request):
        return JsonResponse({"error": _("The page is too old: load it again.")}, status=403)
    no_cookie = reason == REASON_NO_CSRF_COOKIE
    elsewhere = reason.startswith(REASON_BAD_ORIGIN.partition("%s")[0])
    page: dict[str, Any] = {"no_cookie": no_cookie, "elsewhere": elsewhere}
    return render(request, "403_csrf.html", page, status=HTTPStatus.FORBIDDEN)
