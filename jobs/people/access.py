"""The one access table: which role may open which view, by the view's name.

Closed by default: a view that is not in the table opens for nobody. Which rows a
person sees inside a view (a customer only their own) is decided by the selectors.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from .enums import CREW, EVERY_ROLE, OFFICE_ROLES, STAFF, Role

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
    "language": ANYONE,
    "javascript-catalog": ANYONE,
    "favicon": ANYONE,
    # one's own account
    "account:home": STAFF,
    "account:password": STAFF,
    "account:second-factor": OFFICE_ROLES,
    "account:second-factor-off": OFFICE_ROLES,
    "account:passkeys": OFFICE_ROLES,
    "account:passkey-new": OFFICE_ROLES,
    "account:passkey-remove": OFFICE_ROLES,
    "account:session-out": STAFF,
    "account:others-out": STAFF,
    "account:second": ANYONE,  # only the browser on which the password was right
    "account:second-key": ANYONE,  # the same browser
    "account:forgotten": ANYONE,
    "account:reset": ANYONE,  # the one-time link itself decides
    # the beginning of a place: only the browser that entered the one-time code
    "first": ANYONE,
    "first-code": ANYONE,
    # board
    "board:today": STAFF,
    "board:day": STAFF,
    "board:choose": STAFF,
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
    "board:day-times": CREW,
    "board:corners": CREW,
    "board:print": CREW,
    # tags
    "board:tag": STAFF,
    "board:find": STAFF,
    "board:tags": STAFF,
    # checklists
    "board:checklists": OFFICE_ROLES,
    "board:checklist": OFFICE_ROLES,
    "board:checklist-item-new": OFFICE_ROLES,
    "board:checklist-item": OFFICE_ROLES,
    "board:checklist-remove": OFFICE_ROLES,
    # round
    "board:my-round": CREW,
    "board:mine": CREW,
    "board:round": CREW,
    "board:round-then": CREW,
    "board:pit-in": CREW,
    "board:tick": CREW,
    # sheet
    "board:sheet": STAFF,
    "board:sheet-print": STAFF,
    "board:sheet-hand-over": CREW,
    "board:sheet-pdf": STAFF,
    "board:sheet-day": STAFF,
    "board:bike": STAFF,
    "board:sheet-change": CREW,
    "board:sheet-preview": CREW,
    "board:sheet-count": CREW,
    "board:sheet-read": CREW,
    "board:sheet-act": CREW,
    "board:sheet-move": CREW,
    "board:sheet-owner": OFFICE_ROLES,
    "board:sheet-owner-shows": OFFICE_ROLES,
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
    "board:model-sheet-figures": OFFICE_ROLES,
    "board:model-sheets": STAFF,
    "board:model-sheet": STAFF,
    "board:model-sheets-export": STAFF,
    "board:model-sheets-import": OFFICE_ROLES,
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
    "portal:open": ANYONE,  # the link itself decides
    "portal:renew": ANYONE,
    "portal:others-out": CUSTOMER,
    "portal:home": CUSTOMER,
    "portal:everything": CUSTOMER,
    "portal:bike": CUSTOMER,
    "portal:days": CUSTOMER,
    "portal:photos": CUSTOMER,
    "portal:day": CUSTOMER,
    "portal:sheet": CUSTOMER,
    "portal:share": CUSTOMER,
    "portal:unshare": CUSTOMER,
    "shared-day": ANYONE,  # the signed link itself decides
    "portal:photo": CUSTOMER,
    "portal:download": CUSTOMER,
    "portal:document": CUSTOMER,
    "portal:document-pdf": CUSTOMER,
    "portal:logo": ANYONE,  # it stands on every shared day
    # desk
    "desk:home": OFFICE_ROLES,
    "desk:trackdays": OFFICE_ROLES,
    "desk:trackday-new": OFFICE_ROLES,
    "desk:trackday": OFFICE_ROLES,
    "desk:trackday-edit": OFFICE_ROLES,
    "desk:trackday-room": OFFICE_ROLES,
    "desk:trackday-room-group": OFFICE_ROLES,
    "desk:trackday-staffing": OFFICE_ROLES,
    "desk:run-groups": OFFICE_ROLES,
    "desk:trackday-from": OFFICE_ROLES,
    "desk:trackday-second": OFFICE_ROLES,
    "desk:timetable-regular": OFFICE_ROLES,
    "desk:session-new": OFFICE_ROLES,
    "desk:session-edit": OFFICE_ROLES,
    "desk:entry-new": OFFICE_ROLES,
    "desk:entry-edit": OFFICE_ROLES,
    "desk:entry-remove": OFFICE_ROLES,
    "desk:import-entries": OFFICE_ROLES,
    "desk:import-timetable": OFFICE_ROLES,
    "desk:customers": OFFICE_ROLES,
    "desk:customer-new": OFFICE_ROLES,
    "desk:customer": OFFICE_ROLES,
    "desk:customer-edit": OFFICE_ROLES,
    "desk:customer-link": OFFICE_ROLES,
    "desk:customer-code": OFFICE_ROLES,
    "desk:customer-links-withdraw": OFFICE_ROLES,
    "desk:customer-same": OFFICE_ROLES,
    "desk:customer-not-same": OFFICE_ROLES,
    "desk:customer-export": OFFICE_ROLES,
    "desk:customer-remove": TUNER,
    "desk:everything": TUNER,
    "desk:rider-edit": OFFICE_ROLES,
    "desk:business": OFFICE_ROLES,
    "desk:venue-new": OFFICE_ROLES,
    "desk:venue-edit": OFFICE_ROLES,
    "desk:begin": TUNER,
    "desk:begin-step": TUNER,
    "desk:packages": OFFICE_ROLES,
    "desk:package-new": OFFICE_ROLES,
    "desk:package-edit": OFFICE_ROLES,
    "desk:package-drop": OFFICE_ROLES,
    "desk:springs": OFFICE_ROLES,
    "desk:spring-new": OFFICE_ROLES,
    "desk:spring-edit": OFFICE_ROLES,
    "desk:spring-remove": OFFICE_ROLES,
    "desk:crew": OFFICE_ROLES,
    "desk:crew-new": TUNER,
    "desk:crew-edit": TUNER,
    "desk:devices": OFFICE_ROLES,
    "desk:device-out": OFFICE_ROLES,
    "desk:backups": OFFICE_ROLES,
    "desk:backup-now": STAFF,
    "desk:backup-download": TUNER,
    "desk:server": OFFICE_ROLES,
    "desk:trail": OFFICE_ROLES,
    "desk:job-again": OFFICE_ROLES,
    "desk:jobs-again": OFFICE_ROLES,
    "desk:mails": OFFICE_ROLES,
    "desk:mail-server": OFFICE_ROLES,
    "desk:mail-again": OFFICE_ROLES,
    "desk:edits": OFFICE_ROLES,
    # money
    "money:home": OFFICE_ROLES,
    "money:account": OFFICE_ROLES,
    "money:account-pdf": OFFICE_ROLES,
    "money:reminders": OFFICE_ROLES,
    "money:day": OFFICE_ROLES,
    "money:day-issue": OFFICE_ROLES,
    "money:day-files": OFFICE_ROLES,
    "money:day-close": OFFICE_ROLES,
    "money:day-call-off": OFFICE_ROLES,
    "money:draft": OFFICE_ROLES,
    "money:entry": OFFICE_ROLES,
    "money:charge-add": OFFICE_ROLES,
    "money:charge-overrule": OFFICE_ROLES,
    "money:absent": OFFICE_ROLES,
    "money:charge-withdraw": OFFICE_ROLES,
    "money:document": OFFICE_ROLES,
    "money:issue": OFFICE_ROLES,
    "money:discard": OFFICE_ROLES,
    "money:credit": OFFICE_ROLES,
    "money:reissue": OFFICE_ROLES,
    "money:deposit": OFFICE_ROLES,
    "money:accept": OFFICE_ROLES,
    "money:mail": OFFICE_ROLES,
    "money:remind": OFFICE_ROLES,
    "money:file": OFFICE_ROLES,
    "money:pay": OFFICE_ROLES,
    "money:use-credit": OFFICE_ROLES,
    "money:keep-credit": OFFICE_ROLES,
    "money:on-account": OFFICE_ROLES,
    "money:payment-withdraw": OFFICE_ROLES,
    "money:payment-correct": OFFICE_ROLES,
    "money:bank": OFFICE_ROLES,
    "money:bank-sure": OFFICE_ROLES,
    "money:bank-place": OFFICE_ROLES,
    "money:bank-aside": OFFICE_ROLES,
    "money:bank-back": OFFICE_ROLES,
    "money:takings": OFFICE_ROLES,
    "money:tax": OFFICE_ROLES,
    "money:month-close": OFFICE_ROLES,
    "money:month-open": TUNER,
    "money:journal": OFFICE_ROLES,
    "money:saft": OFFICE_ROLES,
    "money:bundle": OFFICE_ROLES,
    "money:prices": OFFICE_ROLES,
    "money:price-new": OFFICE_ROLES,
    "money:price-edit": OFFICE_ROLES,
    "money:price-retire": OFFICE_ROLES,
    "money:rate-new": OFFICE_ROLES,
    "money:rate-edit": OFFICE_ROLES,
    "money:rate-remove": OFFICE_ROLES,
    "money:terms": OFFICE_ROLES,
    "money:numbers": OFFICE_ROLES,
    "money:numbers-crew": OFFICE_ROLES,
    "money:numbers-crew-new": OFFICE_ROLES,
    "money:logo": OFFICE_ROLES,
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
    # the manual; "?" of a screen leads into it
    "manual:home": EVERY_ROLE,
    "manual:helper": STAFF,
    "manual:tuner": STAFF,
    "manual:office": STAFF,
    "manual:customer": EVERY_ROLE,
    # trackside devices
    "live": STAFF,
    "service-worker": ANYONE,
    "manifest": ANYONE,
    "tablet:home": ANYONE,
    "tablet:hello": ANYONE,
    "tablet:act": CREW,
    "tablet:enrol": ANYONE,
    "tablet:pin": ANYONE,
    "tablet:switch": ANYONE,
    "tablet:pages": STAFF,
    "tablet:prepare": TUNER,
    "tablet:pins": TUNER,
}

if settings.DEMO:  # without it their addresses do not exist
    ACCESS |= {"demo:enter": ANYONE, "demo:load": ANYONE, "demo:loading": ANYONE}

# Names a room may use without importing enums.
ROLES = {"crew": CREW, "money": OFFICE_ROLES, "staff": STAFF, "every role": EVERY_ROLE}


def may_open(*, role: str | None, view_name: str) -> bool:
    """Whether ``role`` (None: not signed in) may open the view of that name."""
    allowed = ACCESS.get(view_name, frozenset())
    return allowed is ANYONE or (role is not None and role in allowed)


def wants_json(request: HttpRequest) -> bool:
    """Machines and the offline queue get an answer they can read, never a redirect."""
    asked = "application/json" in request.headers.get("Accept", "")
    return asked or request.path.startswith("/api/")


class AccessMiddleware:
    """Asks the table before any view runs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., HttpResponse],
        view_args: tuple[Any, ...],
        view_kwargs: dict[str, Any],
    ) -> HttpResponse | None:
        match = request.resolver_match
        role = request.user.role if request.user.is_authenticated else None
        if may_open(role=role, view_name=(match and match.view_name) or ""):
            return None
        if role is None:
            if wants_json(request):
                return JsonResponse({"error": _("Please sign in again.")}, status=401)
            return redirect_to_login(request.get_full_path())
        raise PermissionDenied(_("Your role does not open this page."))
