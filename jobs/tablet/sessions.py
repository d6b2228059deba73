"""When a tablet is passed on, a late answer of the old session must not end the new one."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from jobs.acts import tablets


class SessionCookieStays:
    """Never deletes the session cookie of a tablet. Runs before the session middleware.

    A request under way while the tablet is taken over still carries the session before.
    Django would find it gone and answer "drop the cookie", which by then is the new one.
    A cookie of no session opens nothing.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        name = settings.SESSION_COOKIE_NAME
        dropped = name in response.cookies and response.cookies[name]["max-age"] == 0
        if dropped and tablets.COOKIE in request.COOKIES:
            del response.cookies[name]
        return response
