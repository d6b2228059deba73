"""Every page there is, as an address of a day that was really worked: ``pages_of("board")``.

Found by walking the URLs and asking each as somebody who may open it. What answers with a
whole HTML page is a page; fragments, files, JSON and what only takes posts are not.
"""

from dataclasses import dataclass
from typing import Any

from django.test import Client
from django.urls import reverse

from jobs.billing.links import token_for
from jobs.billing.models import Document, PriceItem, TaxRate
from jobs.desk.link_mail import link_url
from jobs.garage.models import Gauge, ModelSheet, SpringInVan
from jobs.people.access import ACCESS, ANYONE
from jobs.people.enums import Role
from jobs.people.models import Customer, NamedCrew, User
from jobs.setups.models import Adjustment
from jobs.trackday.models import CrewDay, Entry, Trackday
from jobs.trackday.sharing import shared_day_make, shared_token
from jobs.worklist.models import ChecklistItem
from tests.shape.test_access import VIEWS

# Whoever comes first of those who may open a view opens it here.
ROLES = (Role.TUNER, Role.OFFICE, Role.CUSTOMER)
# Files, and addresses that take one kind of post or another: nothing to look at.
NO_PAGES = {
    "board:sheet-pdf", "portal:sheet",
    "board:sheet-act", "board:advice-act", "board:photo", "portal:photo", "portal:logo",
    "portal:document-pdf", "portal:document", "money:logo", "money:file", "money:account-pdf",
    "document-logo",
    "document-file", "desk:backup-download",
}  # fmt: skip


@dataclass(frozen=True)
class FoundPage:
    name: str
    role: Role | None  # None: nobody signed in
    path: str


def customer_user(customer: Customer) -> User:
    """The user a link signs a customer in as."""
    address = link_url(customer)
    Client().post(address[address.index("/my/") :])
    customer.refresh_from_db()
    assert customer.user is not None
    return customer.user


class Worked:
    """The rows of a worked day that addresses are made of: one bike with a change and papers."""

    def __init__(self) -> None:
        self.trackday = Trackday.objects.order_by("-date", "pk").first()
        placed = Adjustment.objects.filter(
            kind="change", state="placed", entry__trackday=self.trackday
        )
        self.document = Document.objects.filter(number__isnull=False).first()
        papers = placed.filter(entry__payer=self.document.customer_id) if self.document else placed
        change = papers.first() or placed.first()
        assert change is not None
        self.change = change
        self.entry = Entry.objects.select_related("bike__owner").get(pk=change.entry_id)
        self.customer = self.entry.bike.owner
        self.users = {
            Role.TUNER: User.objects.filter(role=Role.TUNER).first(),
            Role.OFFICE: User.objects.filter(role=Role.OFFICE).first(),
            Role.CUSTOMER: customer_user(self.customer),
        }

    def arguments(self, name: str, names: set[str]) -> dict[str, Any]:
        """What the view of that name is asked with; a view may have its own words for it."""
        own = self._own(name)
        return {one: own[one] if one in own else self._usual()[one] for one in names}

    def _usual(self) -> dict[str, Any]:
        item = ChecklistItem.objects.select_related("checklist").first()
        return {
            "trackday_id": self.trackday.pk,
            "entry_id": self.entry.pk,
            "bike_id": self.entry.bike_id,
            "adjuster_id": self.change.adjuster_id,
            "user_id": CrewDay.objects.filter(trackday=self.trackday).first().user_id,
            "group": self.entry.group_id,
            "package": self.entry.package_id,
            "row": self.change.pk,
            "row_id": self.change.pk,
            "sheet_id": _first(ModelSheet),
            "gauge_id": _first(Gauge),
            "item_id": item.pk,
            "item_code": item.code,
            "code": item.checklist.code,
            "target": "arrived",
            "kind": "json",
            "size": "small",
            "slug": "sag",
            "token": "x",
            "version": 1,
            "uidb64": "x",
            "pk": self.trackday.pk,
        }

    def _own(self, name: str) -> dict[str, Any]:
        surface, _, view = name.partition(":")
        pks: dict[str, Any] = {
            "desk:session-edit": self.trackday.sessions.first().pk,
            "desk:entry-edit": self.entry.pk,
            "desk:venue-edit": self.trackday.venue_id,
            "desk:package-edit": self.entry.package_id,
            "desk:package-drop": self.entry.package_id,
            "desk:spring-edit": _spring().pk,
            "desk:spring-remove": _spring().pk,
            "desk:crew-edit": self.users[Role.TUNER].pk,
            "desk:rider-edit": self.entry.rider_id,
            "desk:device-out": self.change.pk,
            "desk:mail-again": self.change.pk,
            "desk:job-again": self.change.pk,
            "money:numbers-crew": NamedCrew.objects.get_or_create(name="Van 2")[0].pk,
            "money:account": self.entry.payer_id,
            "money:account-pdf": self.entry.payer_id,
            "money:entry": self.entry.pk,
            "money:charge-add": self.entry.pk,
            "money:absent": self.entry.pk,
            "money:charge-withdraw": self.change.pk,
            "money:payment-withdraw": self.change.pk,
            "money:payment-correct": self.change.pk,
            "portal:bike": self.entry.bike_id,
            "portal:days": self.entry.bike_id,
            "portal:photos": self.entry.bike_id,
            "portal:sheet": self.entry.pk,
            "portal:day": self.entry.pk,
            "portal:photo": self.change.pk,
            "portal:share": self.entry.pk,
            "portal:unshare": self.entry.pk,
        }
        if name in pks:
            return {"pk": pks[name]}
        if surface == "desk" and view.startswith("customer"):
            other = Customer.objects.exclude(pk=self.customer.pk).first()
            return {"pk": self.customer.pk, "other": other.pk if other else 0}
        if view.startswith("price-"):
            return {"pk": _first(PriceItem)}
        if view.startswith("rate-"):
            return {"pk": _first(TaxRate)}
        if surface == "money" and not view.startswith("day") and view != "draft":
            return {"pk": self.document.pk if self.document else 0, "kind": "pdf"}
        if name == "shared-day":
            shared = shared_day_make(entry=self.entry, customer=self.customer)
            return {"token": shared_token(shared)}
        if view.startswith("document") or surface.startswith("document"):
            document = self.document
            return {"pk": document.pk, "token": token_for(document)} if document else {}
        if name in ("board:sheet-read", "workbench:typed"):
            return {"kind": "pressure"}
        if name in ("board:finding-own", "board:finding-drop", "board:finding-text"):
            return {"code": "V2"}
        return {}


def _spring() -> SpringInVan:
    """A spring of the van; a database of an earlier version has none."""
    spring, _made = SpringInVan.objects.get_or_create(end="rear", rate_n_per_mm="95.000")
    return spring


def _first(model: Any) -> int:
    return model.objects.values_list("pk", flat=True).first() or 0


def opener(name: str) -> Role | None:
    allowed = ACCESS[name]
    if allowed is ANYONE:
        return None
    return next(role for role in ROLES if role in allowed)


def pages_of(*surfaces: str) -> list[FoundPage]:
    """The pages of these surfaces (a URL's first name); "" are those outside every surface."""
    worked = Worked()
    clients: dict[Role | None, Client] = {None: Client()}
    for role, user in worked.users.items():
        clients[role] = Client()
        clients[role].force_login(user)
    found = []
    for name, wanted in VIEWS:
        surface = name.partition(":")[0] if ":" in name else ""
        if surface not in surfaces:
            continue
        role = opener(name)
        path = reverse(name, kwargs=worked.arguments(name, set(wanted)))
        if _is_page(clients[role], path, name):
            found.append(FoundPage(name, role, path))
    return found


def _is_page(client: Client, path: str, name: str) -> bool:
    response = client.get(path)
    for close in response._resource_closers:  # files; closing the response itself would
        close()  # close the database of the test
    assert response.status_code < 500, path
    assert response.status_code != 404 or name in NO_PAGES, f"{name}: nothing at {path}"
    html = response.headers.get("Content-Type", "").startswith("text/html")
    whole = html and not response.streaming and b"<html" in response.content[:200]
    return response.status_code in (200, 410) and whole
