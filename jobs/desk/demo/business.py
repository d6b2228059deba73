"""The business of the demo with its crew, bikes and venue, from the files in fixtures/."""

import json
from pathlib import Path
from typing import Any

from django.conf import settings

from jobs.billing.services.loading import prices_load
from jobs.garage.models import Gauge, ModelSheet, SheetAdjuster, SpringInVan
from jobs.people.models import Business, User
from jobs.trackday.models import Corner, ServicePackage, Venue
from jobs.worklist.services import checklists_load

FIXTURES: Path = settings.BASE_DIR / "fixtures"
PASSWORD = "paddock-demo"  # noqa: S105  (printed on the first line of the demo)


def fixture(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text())


def business_build() -> Venue:
    """Create everything that exists before the day. Returns the venue of the day."""
    people = fixture("people.json")
    Business.objects.update_or_create(pk=1, defaults=people["business"])
    for member in people["crew"]:
        _crew(**member)
    for gauge in people["gauges"]:
        Gauge.objects.get_or_create(name=gauge["name"], defaults=gauge)
    for spring in people["springs"]:
        known = {name: spring[name] for name in ("end", "rate_n_per_mm", "description")}
        SpringInVan.objects.get_or_create(**known, defaults={"pieces": spring["pieces"]})
    for package in fixture("packages.json"):
        ServicePackage.objects.get_or_create(code=package["code"], defaults=package)
    for sheet in fixture("model_sheets.json"):
        _sheet(dict(sheet))
    checklists_load(lists=fixture("checklists.json"))
    prices_load(data=fixture("prices.json"))
    return venue_build(dict(people["venue"]))


def _crew(*, username: str, first_name: str, role: str) -> None:
    user, made = User.objects.get_or_create(
        username=username, defaults={"first_name": first_name, "role": role}
    )
    if made:
        user.set_password(PASSWORD)
        user.save(update_fields=["password"])


def _sheet(given: dict[str, Any]) -> None:
    adjusters = given.pop("adjusters")
    key = {name: given.pop(name) for name in ("make", "model", "year")}
    sheet, made = ModelSheet.objects.get_or_create(**key, defaults=given)
    if made:
        SheetAdjuster.objects.bulk_create(
            SheetAdjuster(sheet=sheet, order=order, **adjuster)
            for order, adjuster in enumerate(adjusters)
        )


def venue_build(given: dict[str, Any]) -> Venue:
    """A venue with its corners; one of that name that is there stays as it is."""
    corners = given.pop("corners")
    venue, made = Venue.objects.get_or_create(name=given["name"], defaults=given)
    if made:
        Corner.objects.bulk_create(
            Corner(venue=venue, order=order, **corner) for order, corner in enumerate(corners, 1)
        )
    return venue
