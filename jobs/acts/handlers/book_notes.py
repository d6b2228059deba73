"""The setup book's other acts: readings, findings, kept setups, states, moves, undo."""

import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.advice.selectors import catalogue
from jobs.files.models import Photo
from jobs.garage import words
from jobs.garage.enums import End, TravelPlace
from jobs.garage.models import Gauge
from jobs.people.access import TUNER
from jobs.people.enums import CREW
from jobs.setups import sentences, services
from jobs.setups.enums import Subject
from jobs.setups.models import Adjustment, BikePhoto, BookRow, Finding, Reading
from jobs.setups.origin import RowOrigin
from jobs.setups.services.readings import ReadingResult, Value
from jobs.setups.services.undo import PLAIN_ROWS
from jobs.trackday.models import Entry
from jobs.worklist.models import Hold
from jobs.worklist.services import hold_raise

from ..models import Act
from ..registry import BY_ROW, NEVER, Answer, Context, act, by_act
from ..withdrawing import withdraws
from . import book_payloads as payloads
from .book_target import BookTarget, check_may_take_back, target_of, target_of_row

READING_WORDS = ("kind", "tyre_state", "oil", "oil_reason", "minutes_since_stop", "note")


def _readings_back(context: Context, earlier: Act) -> str:
    """Both ends are taken back together; each has a row of its own to be taken back by.

    One that was taken back alone stays so.
    """
    ids = earlier.answer.get("rows", [str(earlier.pk)])
    rows = list(Reading.objects.select_related("entry").filter(pk__in=ids, withdrawn_at=None))
    if not rows:
        raise ValidationError(_("This was already withdrawn."))
    for row in rows:
        services.row_withdraw(origin=target_of_row(context, row).origin, row=row)
    return _("Taken back: %(what)s") % {"what": ", ".join(map(str, rows))}


@act(
    "reading",
    payload=payloads.ReadingPayload,
    roles=CREW,
    taken_back=by_act(_readings_back, by_anybody=True),
    upcasters=(payloads.without_place, payloads.without_oil_reason),
)
def reading(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    ends = [data, *data["also"]]
    names = [one["end"] for one in ends]
    if len(set(names)) < len(names):
        raise ValidationError(_("One reading has each end once: front and rear."))
    gauge = Gauge.objects.get(pk=data["gauge"]) if data["gauge"] else None
    same = {"bike": target.bike, "gauge": gauge, **{key: data[key] for key in READING_WORDS}}
    taken = [
        _read_at(target.origin.further(one["end"]) if len(ends) > 1 else target.origin, one, same)
        for one in ends
    ]
    rows = [str(one.reading.pk) for one in taken]
    warnings = [warning for one in taken for warning in one.warnings]
    said = [words for one in taken for words in _said_of(one)]
    return Answer(" ".join(said), data={"row": rows[0], "rows": rows, "warnings": warnings})


def _read_at(origin: RowOrigin, at: dict[str, Any], same: dict[str, Any]) -> ReadingResult:
    """Write the reading of one end; what is wrong with it is said with its end."""
    values = [Value(**number) for number in at["values"]]
    try:
        return services.reading_take(
            origin=origin, values=values, end=at["end"], place=at["place"], **same
        )
    except ValidationError as error:
        if not at["end"]:
            raise
        end = End(at["end"]).label.capitalize()
        raise ValidationError([f"{end}: {fault}" for fault in error.messages]) from error


def _said_of(taken: ReadingResult) -> list[str]:
    row = taken.reading
    said = [sentences.reading(row), sentences.cold_push(row), *taken.warnings]
    return [words for words in said if words]


def _place_unsaid(context: Context, earlier: Act) -> str:
    services.travel_place_unsay(ids=earlier.answer["rows"])
    return _("Taken back: nobody said where this travel was read.")


@act(
    "travel-place",
    payload=payloads.TravelPlacePayload,
    roles=CREW,
    taken_back=by_act(_place_unsaid),
)
def travel_place(context: Context, data: dict[str, Any]) -> Answer:
    """Say where the travel of this bike was read, for the readings that do not say so."""
    target = target_of(context, data)
    rows = services.travel_place_say(place=data["place"], bike=target.bike)
    place = TravelPlace(data["place"]).label
    if not rows:
        raise ValidationError(_("No travel reading of this bike is without its place."))
    text = ngettext(
        "%(n)s reading was taken %(place)s.", "%(n)s readings were taken %(place)s.", len(rows)
    )
    return Answer(
        text % {"n": len(rows), "place": place}, data={"rows": [str(row.pk) for row in rows]}
    )


@act("finding", payload=payloads.FindingPayload, roles=CREW, taken_back=BY_ROW)
def finding(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    fields = {k: v for k, v in data.items() if k not in ("entry", "bike", "stop", "photo")}
    title = catalogue().title(data["code"]) if data["code"] else ""
    written = services.finding_write(origin=target.origin, bike=target.bike, title=title, **fields)
    if data["photo"]:
        _photo_of(target, written, data["photo"])
    text = _("Noted: %(words)s") % {"words": sentences.finding(written)}
    if not data["stop"]:
        return Answer(text)
    held = _hold_for(context, written, data["stop"])
    text += " " + _("%(bike)s is held. Only a tuner releases it.") % {"bike": held.entry}
    return Answer(text, data={"hold": str(held.pk)})


def _photo_of(target: BookTarget, found: Finding, photo_id: uuid.UUID) -> None:
    """Write the photo of a finding: of its place on the tyre, else of a part."""
    on_tyre = bool(found.end and found.place)
    services.photo_write(
        origin=target.origin.further("photo"),
        bike=target.bike,
        photo=Photo.objects.get(pk=photo_id),
        subject=Subject.TYRE if on_tyre else Subject.PART,
        end=found.end,
        place=found.place,
        words=found.title or found.words[:300],
        finding=found,
    )


def _hold_for(context: Context, found: Finding, stop: str) -> Hold:
    """Raise a hold for a stop condition that was seen. It must be one of the finding's own."""
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


@act("photo", payload=payloads.PhotoPayload, roles=CREW, taken_back=BY_ROW)
def photo(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    stored = Photo.objects.get(pk=data["photo"])
    fields = {key: data[key] for key in ("subject", "end", "place", "words")}
    written = services.photo_write(origin=target.origin, bike=target.bike, photo=stored, **fields)
    return Answer(_("Photo kept: %(what)s.") % {"what": written})


@act("keep", payload=payloads.KeepPayload, roles=TUNER, taken_back=BY_ROW)
def keep(context: Context, data: dict[str, Any]) -> Answer:
    target = target_of(context, data)
    kept = services.kept_setup_keep(
        origin=target.origin,
        bike=target.bike,
        kind=data["kind"],
        name=data["name"],
        note=data["note"],
    )
    return Answer(_("Kept as “%(name)s”.") % {"name": kept.name})


@act("adjuster", payload=payloads.AdjusterPayload, roles=CREW, taken_back=NEVER)
def adjuster_state(context: Context, data: dict[str, Any]) -> Answer:
    """Anyone may report a broken adjuster; only a tuner calls one proven or mended."""
    target = target_of(context, data)
    adjuster = target.adjuster(data["adjuster"])
    state, said = data["state"], data["words"]
    name = {"adjuster": words.adjuster_name(adjuster)}
    if state == "broken":
        services.adjuster_break(origin=target.origin, adjuster=adjuster, fault=said)
        return Answer(_("%(adjuster)s: service note written, no more suggestions on it.") % name)
    if not context.by.is_tuner:
        raise ValidationError(_("Only a tuner calls an adjuster mended or proven."))
    if state == "mended":
        services.adjuster_mend(origin=target.origin, adjuster=adjuster)
        return Answer(_("%(adjuster)s can be set again.") % name)
    services.adjuster_prove(
        origin=target.origin, adjuster=adjuster, proven=state == "proven", note=said
    )
    if state == "proven":
        return Answer(_("%(adjuster)s is proven: leave it.") % name)
    return Answer(_("%(adjuster)s is open to change again.") % name)


@act("move", payload=payloads.MoveRowsPayload, roles=CREW, taken_back=NEVER)
def move(context: Context, data: dict[str, Any]) -> Answer:
    rows = _rows(data["rows"])
    for row in rows:
        check_may_take_back(context, row)
    to = Entry.objects.select_related("bike", "trackday", "group").get(pk=data["to"])
    target = target_of(context, {"entry": to.pk})
    moved = services.rows_move(origin=target.origin, rows=rows, to=to)
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
    check_may_take_back(context, row)
    rows = services.adjustment_withdraw(origin=target_of_row(context, row).origin, row=row)
    return Answer(_("Taken back: %(what)s") % {"what": sentences.adjustment(rows[0])})


@withdraws
def book_row_back(context: Context, row_id: uuid.UUID) -> Answer | None:
    for model in PLAIN_ROWS:
        row = model._default_manager.select_related("entry").filter(pk=row_id).first()
        if row is not None:
            check_may_take_back(context, row)
            services.row_withdraw(origin=target_of_row(context, row).origin, row=row)
            return Answer(_("Taken back: %(what)s") % {"what": row})
    return None
