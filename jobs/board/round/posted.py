"""From the form of a card to the payload of its act."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.people.models import Business
from jobs.setups.measures import MEASURES
from jobs.worklist.enums import ItemKind, Point
from jobs.worklist.models import ChecklistItem

from ..cells import unit_of


def task_payload(posted: Mapping[str, str]) -> dict[str, Any]:
    """Which task a form is about."""
    return {
        "entry": posted.get("entry"),
        "session": posted.get("session") or None,
        "item": posted.get("item"),
    }


def tick_payload(item: ChecklistItem, posted: Mapping[str, str]) -> dict[str, Any]:
    """Everything a tick carries, of what the form held; an empty cell carries nothing."""
    payload: dict[str, Any] = {
        **task_payload(posted),
        "words": posted.get("note", ""),
        "wheel_touched": posted.get("wheel_touched") == "1",
    }
    if item.points:
        payload["points"] = _points(item, posted)
    if item.kind == ItemKind.READING:
        payload["readings"] = _readings(item, posted)
    if item.kind == ItemKind.COUNT:
        payload["counts"] = _counts(posted)
        payload["turned_by"] = posted.get("turned_by", "")
    if posted.get("photo_id"):
        payload["photo"], payload["subject"] = posted["photo_id"], posted.get("subject", "")
    elif item.kind == ItemKind.PHOTO:
        raise ValidationError(_("Take the photo first, or skip it with a reason."))
    if item.kind == ItemKind.WORDS:
        payload["pace"] = posted.get("pace", "")
        payload["said"] = _said(posted)
    return payload


def _points(item: ChecklistItem, posted: Mapping[str, str]) -> dict[str, str]:
    """“All others pass” is a tap of its own; without it what was not tapped is not checked."""
    rest = Point.PASS if posted.get("how") == "rest passes" else Point.NOT_CHECKED
    return {p["code"]: posted.get(f"point-{p['code']}") or rest.value for p in item.points}


def _readings(item: ChecklistItem, posted: Mapping[str, str]) -> list[dict[str, Any]]:
    business = Business.objects.first() or Business()
    found = []
    for number, asked in enumerate(item.readings):
        values = [
            {"name": m.name, "value": _number(text), "unit": unit_of(m, business)}
            for m in MEASURES[asked["kind"]]
            if (text := posted.get(f"reading-{number}-{m.name}", "").strip())
        ]
        if values:
            found.append({**asked, "values": values})
    if not found:
        raise ValidationError(_("No number is entered yet. Enter one, or skip it with a reason."))
    return found


def _counts(posted: Mapping[str, str]) -> list[dict[str, Any]]:
    found = [
        {"adjuster": name.removeprefix("count-"), "position": _number(text)}
        for name, text in posted.items()
        if name.startswith("count-") and text.strip()
    ]
    if not found:
        raise ValidationError(_("No count is entered yet. Enter one, or skip it with a reason."))
    return found


def _said(posted: Mapping[str, str]) -> list[dict[str, str]]:
    said = posted.get("said", "").strip()
    if not said and posted.get("pace"):
        return []  # quicker, same or slower was all there was to say
    if not said:
        raise ValidationError(_("Write what the rider said, or skip it with a reason."))
    return [{"words": said, "corner": posted.get("corner", ""), "phase": posted.get("phase", "")}]


def _number(text: str) -> str:
    """A number as typed anywhere: 32,5 is 32.5; the true minus sign is one too."""
    return text.strip().replace(",", ".").replace("−", "-")
