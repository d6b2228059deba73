"""Who may begin: the one browser in which the one-time code was entered."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.cache import add_never_cache_headers
from django.utils.translation import gettext as _

from jobs.people import setup_code
from jobs.people.access import ACCESS, ANYONE, wants_json
from jobs.people.addresses import address_of
from jobs.people.enums import Role

HOLDER = "setup-code"  # the key in the session
MINUTES = 120  # without a request the browser has to enter a new code

View = Callable[..., HttpResponse]


class PlaceWithoutTuner:
    """While there is no tuner, every page leads to the first page. Runs before access is asked.

    Costs a query only for browsers nobody is signed in on, and only until there is a tuner.
    """

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: View, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        name = (request.resolver_match and request.resolver_match.view_name) or ""
        if ACCESS.get(name) is ANYONE or not self._is_stuck(request, name):
            return None
        if wants_json(request):
            return JsonResponse({"error": _("Nobody has set this place up yet.")}, status=401)
        return redirect("first")

    def _is_stuck(self, request: HttpRequest, name: str) -> bool:
        """Somebody else than a tuner may be there already; their own first page leads here too."""
        if request.user.is_authenticated and (name != "home" or request.user.role == Role.TUNER):
            return False
        return not settings.DEMO and setup_code.place_is_unset()


def with_code(view: View) -> View:
    """Decorator of a view that only the browser opens which entered the code.

    Any other browser gets the form that asks for it. An address with ``?code=`` enters the
    code and is replaced at once by the address without it.
    """

    @wraps(view)
    def gated(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if setup_code.tuner_exists():
            return redirect("home")
        if setup_code.holds_code(holder_of(request)):
            response = view(request, *args, **kwargs)
        elif code := request.GET.get("code", ""):
            enter(request, code)
            response = redirect(request.path)
        else:
            response = render(request, "first/code.html", status=200)
        add_never_cache_headers(response)
        return response

    return gated


def enter(request: HttpRequest, code: str) -> None:
    """Let this browser in, or leave a message that says why not."""
    try:
        holder = setup_code.code_enter(code=code, where_from=address_of(request))
    except ValidationError as fault:
        messages.error(request, fault.messages[0])
        return
    request.session.cycle_key()  # nobody who knew the session before shares what it may now
    request.session[HOLDER] = holder
    request.session.set_expiry(MINUTES * 60)


def holder_of(request: HttpRequest) -> str:
    """The secret for ``setup_code.first_tuner``; empty in any other browser."""
    return str(request.session.get(HOLDER, ""))


def leave(request: HttpRequest) -> None:
    """Once there is a tuner: the session is an ordinary one again."""
    request.session.pop(HOLDER, None)
    request.session.set_expiry(None)
