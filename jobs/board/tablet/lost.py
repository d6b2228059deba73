"""A tablet reported lost opens nothing: its sign-in ends, and it is told to wipe itself."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse

from jobs.acts import tablets


class LostTablets:
    """Stands before everything that opens. One query, for browsers of devices only.

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
        response = render(request, "board/tablet/lost.html", status=410)
        response["Clear-Site-Data"] = '"cache", "storage"'
        return response
