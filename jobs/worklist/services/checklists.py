"""Checklists as data: a changed one is a new version, a day keeps the one it started with."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from jobs.outbox.services import job_enqueue
from jobs.trackday.models import ServicePackage, Trackday

from ..models import Checklist, ChecklistItem, DayChecklist
from ..selectors.checklists import checklists_asked_by, checklists_current

MINUTES = "worklist.minutes"
# The fields of an item as checklists.json and the editor write them; the rest have defaults.
FIELDS = (
    "code", "text", "help", "kind", "readings", "end", "safety", "minutes", "people", "skill",
    "for_advice", "rider_needed", "movable", "cadence", "before_session", "must_start", "only_if",
    "after", "miss_cost",
)  # fmt: skip


@transaction.atomic
def checklists_load(*, lists: Sequence[dict[str, Any]]) -> list[Checklist]:
    """Save every checklist of a file; what stands already as it is there is left alone.

    Returns the checklists that were made or got a new version.
    """
    changed = []
    for order, given in enumerate(lists):
        items = [_item(order, one) for order, one in enumerate(given["items"])]
        made = checklist_save(code=given["code"], name=given["name"], items=items, order=order)
        if made is not None:
            changed.append(made)
    return changed


@transaction.atomic
def checklist_save(
    *,
    code: str,
    name: str,
    items: Sequence[ChecklistItem],
    order: int = 0,
    packages: Sequence[ServicePackage] | None = None,
) -> Checklist | None:
    """Save a checklist as its next version and retire the one before; None: nothing changed.

    ``items`` are unsaved rows; ``packages`` None keeps those of the version before.
    """
    earlier = Checklist.objects.filter(code=code).order_by("-version").first()
    kept = list(earlier.packages.all()) if earlier else []
    wanted = kept if packages is None else list(packages)
    if earlier is not None and earlier.retired_at is None:
        same_items = [_said(i) for i in earlier.items.all()] == [_said(i) for i in items]
        if same_items and earlier.name == name and set(kept) == set(wanted):
            return None
    Checklist.objects.filter(code=code, retired_at=None).update(retired_at=datetime.now(UTC))
    checklist = Checklist.objects.create(
        code=code,
        name=name,
        order=earlier.order if earlier else order,
        version=earlier.version + 1 if earlier else 1,
    )
    checklist.packages.set(wanted)
    before = {one.code: one for one in earlier.items.all()} if earlier else {}
    for item in items:
        item.checklist = checklist
        if known := before.get(item.code):
            item.learned_minutes, item.learned_marks = known.learned_minutes, known.learned_marks
    ChecklistItem.objects.bulk_create(items)
    return checklist


@transaction.atomic
def package_checklists_set(*, package: ServicePackage, checklists: Sequence[Checklist]) -> None:
    """Make these, of the checklists that stand now, the ones a package asks for.

    A checklist whose packages change gets a new version. Raises ValidationError for one that
    no package would ask for any more: without packages it would be for all.
    """
    standing = list(checklists_current())
    asked = {one.pk for one in checklists_asked_by(package, standing)}
    wanted = {one.pk for one in checklists}
    for one in standing:
        if (one.pk in asked) == (one.pk in wanted):
            continue
        only = list(one.packages.all()) or list(ServicePackage.objects.all())
        others = [other for other in only if other.pk != package.pk]
        packages = [*others, package] if one.pk in wanted else others
        if not packages:
            raise ValidationError(
                {
                    "checklists": _(
                        "No other package asks for “%(name)s”: take its items away under "
                        "Checklists instead."
                    )
                    % {"name": one.name}
                }
            )
        checklist_save(code=one.code, name=one.name, items=items_copied(one), packages=packages)


def items_copied(checklist: Checklist) -> list[ChecklistItem]:
    """The items as unsaved rows: the next version's, until it is saved."""
    copies = list(checklist.items.all())
    for one in copies:
        one.pk = None
        one._state.adding = True
    return copies


def day_checklists_keep(*, trackday: Trackday) -> None:
    """The day has started: it keeps the checklists that stand now. Done once.

    Then it is learned from the days before how long their tasks take.
    """
    if DayChecklist.objects.filter(trackday=trackday).exists():
        return
    DayChecklist.objects.bulk_create(
        (
            DayChecklist(trackday=trackday, checklist=checklist)
            for checklist in Checklist.objects.filter(retired_at=None)
        ),
        ignore_conflicts=True,
    )
    payload = {"trackday": trackday.pk}
    job_enqueue(handler=MINUTES, payload=payload, key=f"{MINUTES} {trackday.pk}")


def _item(order: int, given: dict[str, Any]) -> ChecklistItem:
    """An unsaved item of what checklists.json says."""
    known = {name: given[name] for name in FIELDS if name in given}
    opens_from, opens_minutes = given["opens"]
    closes_from, closes_minutes = given["closes"]
    return ChecklistItem(
        **known,
        opens_from=opens_from,
        opens_minutes=opens_minutes,
        closes_from=closes_from,
        closes_minutes=closes_minutes,
        points=[{"code": code, "text": text} for code, text in given.get("points", [])],
        order=order,
    )


def _said(item: ChecklistItem) -> dict[str, Any]:
    """What an item says, without the keys that only place it and without what was learned."""
    return {
        field.name: getattr(item, field.attname)
        for field in item._meta.concrete_fields
        if field.name not in ("id", "checklist", "learned_minutes", "learned_marks")
    }
