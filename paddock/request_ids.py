"""Each request has an id: from the proxy (``X-Request-ID``) or new; the answer carries it back."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from jobs.outbox.request_id import id_of_request, under_request

HEADER = "X-Request-ID"


def request_ids(answer: Callable[[HttpRequest], HttpResponse]) -> Callable[..., HttpResponse]:
    """Middleware, the first: see ``jobs/outbox/request_id.py``."""

    def answered(request: HttpRequest) -> HttpResponse:
        of = id_of_request(request.headers.get(HEADER, ""))
        with under_request(of):
            response = answer(request)
        response[HEADER] = of
        return response

    return answered
