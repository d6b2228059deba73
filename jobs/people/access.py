"""The one access table: which role may open which view, by the view's name.

Closed by default: a view that is not in the table opens for nobody. Which rows a
person sees inside a view (a customer only his own) is the business of selectors.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from .enums import CREW, EVERY_ROLE, MONEY, STAFF, Role

if TYPE_CHECKING:
    from .models import User


class SignedIn(HttpRequest):
    """What a view is handed once the table let a person in: for annotations."""

    user: "User"


ANYONE: frozenset[str] = frozenset({"anyone"})
TUNER = frozenset({Role.TUNER})
CUSTOMER = frozenset({Role.CUSTOMER})

ACCESS: dict[str, frozenset[str]] = {
    # signing in and out, and what a browser asks for by itself
    "home": EVERY_ROLE,
    "signin": ANYONE,
    "signout": EVERY_ROLE,
    "theme": ANYONE,
    "javascript-catalog": ANYONE,
    "favicon": ANYONE,
    # board
    "board:today": STAFF,
    "board:day": STAFF,
    "board:day-fragment": STAFF,
    "board:do": CREW,
    "board:timetable": CREW,
    "board:plan": CREW,
    "board:delay": CREW,
    "board:relief": CREW,
    "board:conditions": CREW,
    "board:crew": CREW,
    "board:walk-up": CREW,
    "board:work": CREW,
    "board:evening": CREW,
    "board:corners": CREW,
    "board:print": CREW,
    # tags
    "board:tag": STAFF,
    "board:find": STAFF,
    "board:tags": STAFF,
    # checklists
    "board:checklists": MONEY,
    "board:checklist": MONEY,
    "board:checklist-item-new": MONEY,
    "board:checklist-item": MONEY,
    "board:checklist-remove": MONEY,
    # round
    "board:my-round": CREW,
    "board:mine": CREW,
    "board:round": CREW,
    "board:round-then": CREW,
    "board:tick": CREW,
    # sheet
    "board:sheet": STAFF,
    "board:sheet-print": STAFF,
    "board:sheet-day": STAFF,
    "board:bike": STAFF,
    "board:sheet-change": CREW,
    "board:sheet-preview": CREW,
    "board:sheet-count": CREW,
    "board:sheet-read": CREW,
    "board:sheet-act": CREW,
    "board:sheet-move": CREW,
    "board:sheet-owner": MONEY,
    "board:adjuster-new": TUNER,
    "board:adjuster": TUNER,
    "board:gauges": STAFF,
    "board:gauge": STAFF,
    "board:sheet-photos": CREW,
    "board:photo": STAFF,
    "board:sheet-baseline": CREW,
    "board:sheet-outfit": CREW,
    "board:sheet-fittings": CREW,
    "board:sheet-figures": CREW,
    "board:model-sheet-figures": MONEY,
    "board:model-sheets": STAFF,
    "board:model-sheet": STAFF,
    "board:model-sheets-export": STAFF,
    "board:model-sheets-import": MONEY,
    "board:sheet-setups": STAFF,
    "board:sheet-back": CREW,
    # advice
    "board:advice": CREW,
    "board:advice-act": CREW,
    "board:see": CREW,
    "board:evidence": CREW,
    "board:findings": TUNER,
    "board:findings-text": TUNER,
    "board:finding-new": TUNER,
    "board:finding-own": TUNER,
    "board:finding-drop": TUNER,
    "board:finding-text": TUNER,
    # workbench
    "workbench:home": TUNER,
    "workbench:page": TUNER,
    "workbench:answer": CREW,  # a helper's only where no money comes into it
    "workbench:table": TUNER,
    "workbench:typed": CREW,
    "workbench:typed-task": CREW,
    # portal
    "portal:open": ANYONE,  # the signed link itself decides
    "portal:home": CUSTOMER,
    "portal:bike": CUSTOMER,
    "portal:day": CUSTOMER,
    "portal:photo": CUSTOMER,
    "portal:download": CUSTOMER,
    "portal:document": CUSTOMER,
    "portal:document-pdf": CUSTOMER,
    "portal:logo": CUSTOMER,
    # desk
    "desk:home": MONEY,
    "desk:trackday-new": MONEY,
    "desk:trackday": MONEY,
    "desk:trackday-edit": MONEY,
    "desk:trackday-room": MONEY,
    "desk:trackday-room-group": MONEY,
    "desk:trackday-staffing": MONEY,
    "desk:session-new": MONEY,
    "desk:session-edit": MONEY,
    "desk:entry-new": MONEY,
    "desk:entry-edit": MONEY,
    "desk:import-entries": MONEY,
    "desk:import-timetable": MONEY,
    "desk:customers": MONEY,
    "desk:customer-new": MONEY,
    "desk:customer": MONEY,
    "desk:customer-edit": MONEY,
    "desk:customer-link": MONEY,
    "desk:customer-links-withdraw": MONEY,
    "desk:customer-export": MONEY,
    "desk:customer-remove": TUNER,
    "desk:everything": TUNER,
    "desk:rider-edit": MONEY,
    "desk:business": MONEY,
    "desk:venue-new": MONEY,
    "desk:venue-edit": MONEY,
    "desk:crew": MONEY,
    "desk:crew-new": TUNER,
    "desk:crew-edit": TUNER,
    "desk:devices": MONEY,
    "desk:device-out": MONEY,
    "desk:mails": MONEY,
    "desk:edits": MONEY,
    # money
    "money:home": MONEY,
    "money:account": MONEY,
    "money:day": MONEY,
    "money:day-issue": MONEY,
    "money:day-files": MONEY,
    "money:day-close": MONEY,
    "money:draft": MONEY,
    "money:entry": MONEY,
    "money:charge-add": MONEY,
    "money:charge-overrule": MONEY,
    "money:absent": MONEY,
    "money:charge-withdraw": MONEY,
    "money:document": MONEY,
    "money:issue": MONEY,
    "money:discard": MONEY,
    "money:credit": MONEY,
    "money:deposit": MONEY,
    "money:accept": MONEY,
    "money:mail": MONEY,
    "money:remind": MONEY,
    "money:file": MONEY,
    "money:pay": MONEY,
    "money:use-credit": MONEY,
    "money:keep-credit": MONEY,
    "money:on-account": MONEY,
    "money:payment-withdraw": MONEY,
    "money:takings": MONEY,
    "money:tax": MONEY,
    "money:journal": MONEY,
    "money:bundle": MONEY,
    "money:prices": MONEY,
    "money:price-new": MONEY,
    "money:price-edit": MONEY,
    "money:price-retire": MONEY,
    "money:rate-new": MONEY,
    "money:terms": MONEY,
    "money:numbers": MONEY,
    "money:logo": MONEY,
    # money: what a signed link opens
    "document": ANYONE,
    "document-accept": ANYONE,
    "document-file": ANYONE,
    "document-logo": ANYONE,
    # api
    "api:schema": EVERY_ROLE,
    "api:acts": CREW,
    "api:kinds": CREW,
    "api:days": STAFF,
    "api:board": STAFF,
    "api:bikes": EVERY_ROLE,
    "api:bike": EVERY_ROLE,
    "api:bike-day": EVERY_ROLE,
    "api:mine": CUSTOMER,
    "api:everything": TUNER,
    # trackside devices
    "live": STAFF,
    "service-worker": ANYONE,
    "manifest": ANYONE,
    "tablet:home": ANYONE,
    "tablet:hello": ANYONE,
    "tablet:enrol": ANYONE,
    "tablet:pin": ANYONE,
    "tablet:switch": ANYONE,
    "tablet:pages": STAFF,
    "tablet:prepare": TUNER,
    "tablet:pins": TUNER,
}

# Names a room may use without importing enums.
ROLES = {"crew": CREW, "money": MONEY, "staff": STAFF, "every role": EVERY_ROLE}


def may_open(*, role: str | None, view_name: str) -> bool:
    """Whether ``role`` (None: not signed in) may open the view of that name."""
    allowed = ACCESS.get(view_name, frozenset())
    return allowed is ANYONE or (role is not None and role in allowed)


def wants_json(request: HttpRequest) -> bool:
    """Machines and the offline queue get an answer they can read, never a redirect."""
    return "application/json" in request.headers.get("Accept", "")


class AccessMiddleware:
    """Asks the table before any view runs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request, view_func, view_args, view_kwargs):  # noqa: ANN001, ANN201
        match = request.resolver_match
        role = request.user.role if request.user.is_authenticated else None
        if may_open(role=role, view_name=match.view_name or ""):
            return None
        if role is None:
            if wants_json(request):
                return JsonResponse({"error": _("Please sign in again.")}, status=401)
            return redirect_to_login(request.get_full_path())
        raise PermissionDenied(_("Your role does not open this page."))
