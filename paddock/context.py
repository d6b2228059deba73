"""Context of the base template: the name of the business, the theme, the navigation."""

from functools import cache
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import lazy
from django.utils.translation import gettext_lazy as _

from jobs.acts import tablets
from jobs.manual.screens import help_url
from jobs.people.enums import Role
from jobs.people.selectors import business_get, business_title

# The navigation of each role, in order: the name of the view, the word shown for it.
DAY = ("board:today", _("Day"))
ROUND = ("board:my-round", _("Round"))
BENCH = ("workbench:home", _("Bench"))
DESK = ("desk:home", _("Desk"))
MINE = ("portal:home", _("My bikes"))
PLACES = {
    Role.TUNER: [DAY, ROUND, BENCH, DESK],
    Role.HELPER: [ROUND, DAY],
    Role.OFFICE: [DESK, DAY],
    Role.CUSTOMER: [MINE],
}
THEMES = ("paper", "night", "sun")


def frame(request: HttpRequest) -> dict[str, Any]:
    """Context processor. Lazy: a fragment without the frame costs nothing for it."""
    theme = request.COOKIES.get("theme", "")
    business = cache(business_get)  # read once a page, with the first of its fields
    return {
        "business_name": lambda: business_title(business()),
        "business_timezone": lambda: business().timezone,
        "theme": theme if theme in THEMES else "",
        "is_tablet": tablets.COOKIE in request.COOKIES,
        "help_url": lambda: _help_url(request),
        "places": lazy(lambda: places(request), list)(),
    }


def _help_url(request: HttpRequest) -> str:
    """Where the "?" leads. The page of an error belongs to no view."""
    found = request.resolver_match
    role = getattr(request.user, "role", None)
    return help_url(view_name=found.view_name if found else "", role=role)


def places(request: HttpRequest) -> list[dict[str, Any]]:
    """Where this person's role may go, in the order of the bar."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return []
    here = request.path
    found = []
    for name, word in PLACES[Role(user.role)]:
        try:
            url = reverse(name)
        except NoReverseMatch:  # the view does not exist in this installation
            continue
        found.append({"url": url, "name": word, "here": here.startswith(url) and url != "/"})
    return found
