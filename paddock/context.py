"""What the frame around every page needs: the business's name, the theme, the places."""

from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import SimpleLazyObject, lazy
from django.utils.translation import gettext_lazy as _

from jobs.people.enums import Role
from jobs.people.models import Business

# What stands in the bar of each role, in order: the view's name, the word for it.
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
    return {
        "business_name": SimpleLazyObject(_business_name),
        "theme": theme if theme in THEMES else "",
        "places": lazy(lambda: places(request), list)(),
    }


def _business_name() -> str:
    name = Business.objects.values_list("name", flat=True).first()
    return name or "Paddock"


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
        except NoReverseMatch:  # a place that is not built has no door
            continue
        found.append({"url": url, "name": word, "here": here.startswith(url) and url != "/"})
    return found
