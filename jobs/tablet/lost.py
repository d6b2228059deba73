"""A tablet reported lost: its session ends, and every answer tells it to delete what it keeps."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse

from jobs.acts import tablets


class LostTablets:
    """Runs before every view. One query, and only for browsers of enrolled devices.

    The device's cookie stays: it is told again at every contact, whichever of them wipes.
    A tablet found again is enrolled anew, by a code, from the page that says so.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        enrolling = request.path == reverse("tablet:enrol")
        if enrolling or not tablets.is_lost(request):
            return self.get_response(request)
        request.session.flush()
        if request.method != "GET" or "text/html" not in request.headers.get("Accept", ""):
            return JsonResponse({"outcome": "shut out", "text": ""}, status=410)
        response = render(request, "tablet/lost.html", status=410)
        response["Clear-Site-Data"] = '"cache", "storage"'
        return response
