"""The forms of a round's card, read into the payloads of their acts."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.acts.forms import PostedForm, form_reader
from jobs.acts.registry import Payload
from jobs.people.models import Business
from jobs.people.selectors import business_get
from jobs.setups.measures import COUNT, Measure, Switch, switched_on, unit_typed
from jobs.setups.reading_kinds import reading_kind
from jobs.worklist.enums import ItemKind, Point
from jobs.worklist.models import ChecklistItem

# What the form holds for a switch. Older pages had a number there: any other is refused.
SWITCHED = {"1": True, "0": False}


@form_reader("start task")
def start_read(form: PostedForm) -> Payload:
    """Which task a form is about."""
    return {
        "entry": form.get("entry"),
        "session": form.get("session") or None,
        "item": form.get("item"),
    }


@form_reader("skip")
def skip_read(form: PostedForm) -> Payload:
    return {**start_read(form), "reason": form.get("reason")}


@form_reader("tick")
@form_reader("tick", version=2)  # with places; a page of version 1 has no such fields
@form_reader("tick", version=3)
def tick_read(form: PostedForm) -> Payload:
    """Everything a tick carries, of what the form held; an empty cell carries nothing."""
    item = form.row(ChecklistItem.objects.select_related("checklist"), "item")
    payload: Payload = {
        **start_read(form),
        "words": form.get("note"),
        "wheel_touched": form.get("wheel_touched") == "1",
    }
    posted = {name: form.get(name) for name in form.fields}
    if item.points:
        payload["points"] = _points(item, posted)
    if item.kind == ItemKind.READING:
        payload["readings"] = _readings(item, posted)
    if item.kind == ItemKind.COUNT:
        payload["counts"] = _counts(posted)
        payload["turned_by"] = form.get("turned_by")
    if form.get("photo"):
        payload["photo"], payload["subject"] = form.get("photo"), form.get("subject")
    elif item.kind == ItemKind.PHOTO:
        raise ValidationError(_("Take the photo first, or skip it with a reason."))
    if item.kind == ItemKind.WORDS:
        payload["pace"] = form.get("pace")
        payload["said"] = _said(posted)
    return payload


def _points(item: ChecklistItem, posted: Mapping[str, str]) -> dict[str, str]:
    """“All others pass” is a tap of its own; without it what was not tapped is not checked."""
    rest = Point.PASS if posted.get("how") == "rest passes" else Point.NOT_CHECKED
    return {p["code"]: posted.get(f"point-{p['code']}") or rest.value for p in item.points}


def _readings(item: ChecklistItem, posted: Mapping[str, str]) -> list[dict[str, Any]]:
    business = business_get()
    found = []
    for number, asked in enumerate(item.readings):
        values = [
            _value(measure, text, posted, business)
            for measure in reading_kind(asked["kind"]).measures
            if (text := _text(measure, posted, f"reading-{number}-"))
        ]
        if values:
            place = posted.get(f"reading-{number}-place", "")
            found.append({**asked, "values": values, **({"place": place} if place else {})})
    if not found:
        raise ValidationError(_("No number is entered yet. Enter one, or skip it with a reason."))
    return found


def _text(measure: Measure, posted: Mapping[str, str], prefix: str) -> str:
    """What the form holds for a measure; a switch of a group is the one that was tapped."""
    text = posted.get(prefix + measure.name, "").strip()
    if not text and isinstance(measure, Switch) and switched_on(measure, posted, prefix):
        return "1"
    return text


def _value(
    measure: Measure, text: str, posted: Mapping[str, str], business: Business
) -> dict[str, Any]:
    if isinstance(measure, Switch) and text in SWITCHED:
        return {"name": measure.name, "on": SWITCHED[text]}
    if isinstance(measure, Switch):
        return {"name": measure.name, "value": _number(text), "unit": COUNT}
    unit = unit_typed(measure.quantity, posted, business)
    return {"name": measure.name, "value": _number(text), "unit": unit}


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
