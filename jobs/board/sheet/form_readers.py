"""The forms of the bike sheet, read into the payloads of their acts."""

from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.acts.forms import PostedForm, checked, form_reader
from jobs.acts.registry import Payload
from jobs.garage.enums import TyreState
from jobs.garage.models import Adjuster
from jobs.setups import selectors
from jobs.setups.enums import ToldBy, Verdict
from jobs.setups.measures import PRESSURE, Number, Switch, canonical, switched_on, units
from jobs.setups.reading_kinds import LAP_TIMES, READING_KINDS, ReadingKind
from jobs.tables.rows import text_of
from jobs.trackday.models import Entry
from jobs.tuning.pace import Lap, laps_and_faults

from .forms import CountForm, FittingForm

MOST_BYTES = 100_000
MOST_NOTE = 300  # characters
PART_WORDS = ("kind", "end", "name", "compound", "date_code", "detail")
PART_NUMBERS = ("warmers_c", "due_after_outings", "new_depth_mm")
# Tapped where the ring is asked about a change that it cannot show.
CANNOT_BE_TOLD = "cannot_be_told"
AT = "at-"  # before an adjuster's number: its cell among those of all adjusters


@form_reader("count")
def count_read(form: PostedForm) -> Payload:
    """One adjuster's panel, or the page that counts them all."""
    if "adjuster" not in form.fields:
        return {"entry": form.get("entry"), "counts": _all_counted(form)}
    counted = checked(CountForm(form.fields))
    adjuster = form.row(Adjuster.objects.all(), "adjuster")
    return {
        "entry": form.get("entry"),
        "counts": [counted.counted(adjuster)],
        "turned_by": counted.cleaned_data["turned_by"],
    }


def _all_counted(form: PostedForm) -> list[Payload]:
    """Every cell that was filled in; what is left empty is not counted."""
    counts, faults = [], []
    entry = form.row(Entry.objects.select_related("bike", "trackday"), "entry")
    for standing in selectors.standings_of_entry(entry):
        if standing.is_pressure:  # read with a gauge, not counted
            continue
        text = form.get(f"{AT}{standing.adjuster.pk}").strip().replace(",", ".")
        if not text:
            continue
        try:
            counts.append({"adjuster": standing.adjuster.pk, "position": str(Decimal(text))})
        except InvalidOperation:
            faults.append(_not_a_number(standing.full_name, text))
    if not counts and not faults:
        faults.append(_("Nothing was counted: enter at least one number."))
    if faults:
        raise ValidationError(faults)
    return counts


@form_reader("reading", version=3)
def reading_of_both_ends_read(form: PostedForm) -> Payload:
    """Each end's cells carry its name before theirs; an end where nothing is entered is left
    out. A kind of no end has cells without."""
    kind = _kind(form)
    oil = {name: form.get(name) for name in ("oil", "oil_reason")}
    if not kind.ends:
        return {**reading_read(form), **oil}
    read = [_read_at(form, kind, end.value) for end in kind.ends]
    entered = [one for one in read if one["values"]]
    if not entered:
        raise ValidationError(_("Nothing is entered yet, at the front or at the rear."))
    return {
        "entry": form.get("entry"),
        "kind": kind.name,
        **entered[0],
        **({"also": entered[1:]} if entered[1:] else {}),
        "gauge": form.get("gauge") or None,
        **oil,
        **{name: form.get(name) for name in ("note", "tyre_state")},
    }


def _read_at(form: PostedForm, kind: ReadingKind, end: str) -> Payload:
    prefix = f"{end}-"
    place = form.get(f"{prefix}place") if kind.places_to_choose(end) else ""
    return {"end": end, "values": _values(form, kind, prefix), "place": place}


def _kind(form: PostedForm) -> ReadingKind:
    kind = READING_KINDS.get(form.get("kind"))
    if kind is None:
        raise ValidationError(_("There is no such kind of reading."))
    return kind


@form_reader("reading")
@form_reader("reading", version=2)  # with the place; a page of version 1 has no such field
def reading_read(form: PostedForm) -> Payload:
    """One end, chosen beside the cells; or a kind of no end.

    A page that does not say its version may be one of version 3, whose cells carry their end.
    """
    kind, note = _kind(form), form.get("note")
    if kind.ends and "end" not in form.fields:
        return reading_of_both_ends_read(form)
    if kind.as_lap_times:
        laps = _laps(form)
        values = [_value(kind.numbers[0], _decimal(lap), "s", n) for n, lap in enumerate(laps)]
        note = " · ".join(part for part in (note, _marks(laps)) if part)[:MOST_NOTE]
    else:
        values = _values(form, kind)
    return {
        "entry": form.get("entry"),
        "kind": kind.name,
        "values": values,
        "gauge": form.get("gauge") or None,
        "place": form.get("place") if kind.places_to_choose(form.get("end")) else "",
        "note": note,
        **{name: form.get(name) for name in ("end", "tyre_state")},
    }


def _values(form: PostedForm, kind: ReadingKind, prefix: str = "") -> list[Payload]:
    """The numbers typed, each with its unit, and the switches that are on."""
    values: list[Payload] = []
    faults = []
    for measure in kind.measures:
        if isinstance(measure, Switch):
            on = switched_on(measure, form.fields, prefix)
            values += [{"name": measure.name, "on": True}] if on else []
            continue
        unit = form.get(f"unit_{measure.quantity}") or units(measure.quantity)[0]
        typed = [text.strip() for text in form.getlist(prefix + measure.name) if text.strip()]
        for index, text in enumerate(typed):
            try:
                values.append(_value(measure, Decimal(text.replace(",", ".")), unit, index))
            except InvalidOperation:
                faults.append(_not_a_number(measure.words, text))
    if faults:
        raise ValidationError(faults)
    return values


def _laps(form: PostedForm) -> list[Lap]:
    """The lap times that were pasted, and those the file holds."""
    file = form.files.get("file")
    held = text_of(file.read(MOST_BYTES)) if file else ""
    laps: list[Lap] = []
    faults: list[str] = []
    for text in [text for text in (form.get(LAP_TIMES.name), held) if text.strip()] or [""]:
        found, wrong = laps_and_faults(text)
        laps += found
        faults += tuple(str(one) for one in wrong)
    if faults:
        raise ValidationError(faults)
    return laps


def _decimal(lap: Lap) -> Decimal:
    return Decimal(str(round(lap.seconds, 3)))


def _marks(laps: list[Lap]) -> str:
    """ "lap 1 out, lap 9 in": which laps were marked, for the note of the reading."""
    return ", ".join(
        _("lap %(n)s %(mark)s") % {"n": number, "mark": lap.mark}
        for number, lap in enumerate(laps, start=1)
        if lap.mark
    )


def _value(measure: Number, value: Decimal, unit: str, index: int) -> Payload:
    return {"name": measure.name, "value": str(value), "unit": unit, "index": index}


def _not_a_number(name: object, text: str) -> str:
    return _("%(name)s: “%(text)s” is not a number.") % {"name": name, "text": text}


@form_reader("fitting")
def fitting_read(form: PostedForm) -> Payload:
    filled = checked(FittingForm(form.fields))
    given = filled.cleaned_data
    return {
        "entry": form.get("entry"),
        **{name: given[name] for name in PART_WORDS},
        **{name: None if given[name] is None else str(given[name]) for name in PART_NUMBERS},
        "maker_range_kpa": _ranges(filled),
    }


def _ranges(filled: FittingForm) -> dict[str, list[float]]:
    """The maker's range of each tyre state that was filled in, in kPa."""
    unit = filled.cleaned_data["range_unit"] or units(PRESSURE)[0]
    found = {}
    for state in TyreState.values:
        low, high = filled.cleaned_data[f"{state}_low"], filled.cleaned_data[f"{state}_high"]
        if low is not None and high is not None:
            found[state] = [float(canonical(value, unit, PRESSURE)) for value in (low, high)]
    return found


@form_reader("fitting_off")
def fitting_off_read(form: PostedForm) -> Payload:
    return {"entry": form.get("entry"), "fitting": form.get("off")}


@form_reader("photo")
def photo_read(form: PostedForm) -> Payload:
    if not form.get("photo"):
        raise ValidationError(_("Take or choose a photo first."))
    names = ("entry", "photo", "subject", "end", "place", "words")
    return {name: form.get(name) for name in names}


@form_reader("move")
def move_read(form: PostedForm) -> Payload:
    return {"rows": form.getlist("row"), "to": form.get("to")}


@form_reader("judgement")
@form_reader("judgement", version=2)  # with what told it; a page of version 1 has no such field
def judgement_read(form: PostedForm) -> Payload:
    judged = {
        "like_pace": {"yes": True, "no": False}.get(form.get("like_pace")),
        **{name: form.fields.get(name) for name in ("expectation", "verdict")},
        **{name: form.get(name) for name in ("pace", "words", "told_by")},
    }
    if judged["verdict"] == CANNOT_BE_TOLD:
        # It counts neither way, and the customer's page says why.
        words = judged["words"] or _("cannot be told by the ring")
        judged |= {
            "verdict": Verdict.NOT_TESTED.value,
            "words": words,
            "told_by": ToldBy.RING.value,
        }
    return judged
