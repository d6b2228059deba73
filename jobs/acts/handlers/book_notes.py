"""The setup book's other acts: readings, findings, kept setups, states, moves, undo."""

import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.advice.selectors import catalogue
from jobs.files.models import Photo
from jobs.garage import words
from jobs.garage.models import Gauge
from jobs.people.access import TUNER
from jobs.people.enums import CREW
from jobs.setups import saying, services
from jobs.setups.enums import Subject
from jobs.setups.models import Adjustment, BikePhoto, BookRow, Finding, Reading
from jobs.setups.services.readings import Value
from jobs.setups.services.undo import PLAIN_ROWS
from jobs.trackday.models import Entry
from jobs.worklist.models import Hold
from jobs.worklist.services import hold_raise

from ..registry import Answer, Context, act
from ..withdrawing import withdraws
from . import book_payloads as payloads
from .book_places import Place, place_of, place_of_row


@act("reading", payload=payloads.ReadingPayload, roles=CREW)
def reading(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    taken = services.reading_take(
        made=place.made,
        bike=place.bike,
        values=[Value(**number) for number in data["values"]],
        gauge=Gauge.objects.get(pk=data["gauge"]) if data["gauge"] else None,
        **{k: data[k] for k in ("kind", "end", "tyre_state", "oil", "minutes_since_stop", "note")},
    )
    row = taken.reading
    said = [saying.reading(row), saying.cold_push(row), *taken.doubts]
    text = " ".join(sentence for sentence in said if sentence)
    return Answer(text, data={"row": str(row.pk), "doubts": list(taken.doubts)})


@act("finding", payload=payloads.FindingPayload, roles=CREW)
def finding(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    fields = {k: v for k, v in data.items() if k not in ("entry", "bike", "stop", "photo")}
    title = catalogue().title(data["code"]) if data["code"] else ""
    written = services.finding_write(made=place.made, bike=place.bike, title=title, **fields)
    if data["photo"]:
        _photo_of(place, written, data["photo"])
    text = _("Noted: %(words)s") % {"words": saying.finding(written)}
    if not data["stop"]:
        return Answer(text)
    held = _hold_for(context, written, data["stop"])
    text += " " + _("%(bike)s is held. Only a tuner releases it.") % {"bike": held.entry}
    return Answer(text, data={"hold": str(held.pk)})


def _photo_of(place: Place, found: Finding, photo_id: uuid.UUID) -> None:
    """What a finding looks like, kept with it: of its place on the tyre, else of a part."""
    on_tyre = bool(found.end and found.place)
    services.photo_write(
        made=place.made.further("photo"),
        bike=place.bike,
        photo=Photo.objects.get(pk=photo_id),
        subject=Subject.TYRE if on_tyre else Subject.PART,
        end=found.end,
        place=found.place,
        words=found.title or found.words[:300],
        finding=found,
    )


def _hold_for(context: Context, found: Finding, stop: str) -> Hold:
    """The hold of a stop condition somebody saw; it must be one of its finding's."""
    known = catalogue().findings.get(found.code)
    if known is None or stop not in [one.text for one in known.stops]:
        raise ValidationError(
            _("“%(stop)s” is no stop condition of %(code)s. Hold the bike in your own words.")
            % {"stop": stop, "code": found.code or _("a finding in words")}
        )
    if found.entry is None:
        raise ValidationError(_("A hold belongs to a day: note it on the bike's sheet there."))
    return hold_raise(
        hold_id=context.further_id("stop"),
        entry=found.entry,
        words=stop,
        by=context.by,
        at=context.done_at,
    )


@act("photo", payload=payloads.PhotoPayload, roles=CREW)
def photo(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    stored = Photo.objects.get(pk=data["photo"])
    fields = {key: data[key] for key in ("subject", "end", "place", "words")}
    written = services.photo_write(made=place.made, bike=place.bike, photo=stored, **fields)
    return Answer(_("Photo kept: %(what)s.") % {"what": written})


@act("keep", payload=payloads.KeepPayload, roles=TUNER)
def keep(context: Context, data: dict[str, Any]) -> Answer:
    place = place_of(context, data)
    kept = services.kept_setup_keep(
        made=place.made, bike=place.bike, kind=data["kind"], name=data["name"], note=data["note"]
    )
    return Answer(_("Kept as “%(name)s”.") % {"name": kept.name})


@act("adjuster", payload=payloads.AdjusterPayload, roles=CREW)
def adjuster_state(context: Context, data: dict[str, Any]) -> Answer:
    """Anyone reports a broken adjuster; the tuner calls one proven, or mended."""
    place = place_of(context, data)
    adjuster = place.adjuster(data["adjuster"])
    state, said = data["state"], data["words"]
    name = {"adjuster": words.adjuster_name(adjuster)}
    if state == "broken":
        services.adjuster_break(made=place.made, adjuster=adjuster, fault=said)
        return Answer(_("%(adjuster)s: service note written, no more suggestions on it.") % name)
    if not context.by.is_tuner:
        raise ValidationError(_("Only a tuner calls an adjuster mended or proven."))
    if state == "mended":
        services.adjuster_mend(made=place.made, adjuster=adjuster)
        return Answer(_("%(adjuster)s can be set again.") % name)
    services.adjuster_prove(made=place.made, adjuster=adjuster, proven=state == "proven", note=said)
    if state == "proven":
        return Answer(_("%(adjuster)s is proven: leave it.") % name)
    return Answer(_("%(adjuster)s is open to change again.") % name)


@act("move", payload=payloads.MovePayload, roles=CREW)
def move(context: Context, data: dict[str, Any]) -> Answer:
    rows = _rows(data["rows"])
    to = Entry.objects.select_related("bike", "trackday", "group").get(pk=data["to"])
    place = place_of(context, {"entry": to.pk})
    moved = services.rows_move(made=place.made, rows=rows, to=to)
    return Answer(
        _("Moved to %(number)s %(bike)s: %(count)s rows. The move is on record.")
        % {"number": to.number or "–", "bike": to.bike, "count": len(moved)},
        data={"rows": [str(row.pk) for row in moved]},
    )


def _rows(ids: list[uuid.UUID]) -> list[BookRow]:
    found: list[BookRow] = []
    for model in (Adjustment, Reading, Finding, BikePhoto):
        found += model._default_manager.filter(pk__in=ids)
    if len(found) != len(set(ids)):
        raise ValidationError(_("One of the rows to move is not in the book."))
    return found


@withdraws
def adjustment_back(context: Context, row_id: uuid.UUID) -> Answer | None:
    row = Adjustment.objects.select_related("adjuster", "entry").filter(pk=row_id).first()
    if row is None:
        return None
    rows = services.adjustment_withdraw(made=place_of_row(context, row).made, row=row)
    return Answer(_("Taken back: %(what)s") % {"what": saying.adjustment(rows[0])})


@withdraws
def book_row_back(context: Context, row_id: uuid.UUID) -> Answer | None:
    for model in PLAIN_ROWS:
        row = model._default_manager.select_related("entry").filter(pk=row_id).first()
        if row is not None:
            services.row_withdraw(made=place_of_row(context, row).made, row=row)
            return Answer(_("Taken back: %(what)s") % {"what": row})
    return None
