"""Forms that change an adjuster or count its position."""

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.advice.selectors import change_before, expected_of, reasons_of
from jobs.calculators.move_effect import move_effect
from jobs.garage import words
from jobs.garage.enums import Function, TyreState
from jobs.garage.models import Adjuster
from jobs.people.access import SignedIn
from jobs.people.selectors import business_get
from jobs.setups import limits, selectors, sentences
from jobs.setups.cards import adjuster_ruler
from jobs.trackday.models import Entry

from .bike_header import BikeHeader, bike_header_of, entry_get
from .change_readers import legs_of, preload_legs, rebound_legs
from .forms import ChangeForm, CountForm
from .outlook import change_outlook, moved_by, preload_with_springs
from .responses import done, shown
from .steps import directions


def change(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """The panel of one adjuster; posting writes the change, or the order for it."""
    entry, adjuster = _entry_and_adjuster(entry_id, adjuster_id)
    if request.method != "POST":
        return shown(request, "change", _context(request, entry, adjuster, ChangeForm()))
    kind = "order" if request.POST.get("how") == "order" else "change"
    if _accepted(request, kind, entry, adjuster):
        return done(request, entry)
    return shown(request, "change", _context(request, entry, adjuster, ChangeForm(request.POST)))


def _accepted(request: SignedIn, kind: str, entry: Entry, adjuster: Adjuster) -> bool:
    """Whether the form was read and its act not refused; else the form shows why."""
    about = {"entry": entry.pk, "adjuster": adjuster.pk}
    try:
        act = act_from_form(request, kind=kind, about=about, trackday=entry.trackday)
    except ValidationError:
        return False
    return act.outcome != Outcome.REFUSED


def preview(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """The ruler and the words for the step just tapped."""
    entry, adjuster = _entry_and_adjuster(entry_id, adjuster_id)
    form = ChangeForm(request.GET)
    context = _context(request, entry, adjuster, form, previewed=True)
    return render(request, "board/sheet/preview.html", context)


def count(request: SignedIn, entry_id: int, adjuster_id: int) -> HttpResponse:
    """ "Found at": where the adjuster truly stands, counted from its end."""
    entry, adjuster = _entry_and_adjuster(entry_id, adjuster_id)
    if request.method == "POST" and _accepted(request, "count", entry, adjuster):
        return done(request, entry)
    context = _context(request, entry, adjuster, CountForm(request.POST or None))
    return shown(request, context["counting"], context)


def _entry_and_adjuster(entry_id: int, adjuster_id: int) -> tuple[Entry, Adjuster]:
    entry = entry_get(entry_id)
    return entry, get_object_or_404(Adjuster, pk=adjuster_id, bike=entry.bike_id)


def _context(
    request: SignedIn, entry: Entry, adjuster: Adjuster, form: Any, *, previewed: bool = False
) -> dict[str, Any]:
    standings = {s.adjuster.pk: s for s in selectors.standings_of_entry(entry)}
    standing = standings[adjuster.pk]
    legs = [standings[leg.pk] for leg in legs_of(adjuster, alone=False)]
    head = bike_header_of(entry)
    read = _gauge_reading(standing, entry, head)
    start = read.position if read else standing.position
    end = _target_position(form, start)
    most = limits.small_step(adjuster, business_get())
    reasons = [] if previewed else _reasons(entry, adjuster, form)
    return {
        "entry": entry,
        "head": head,
        "adjuster": adjuster,
        "standing": standing,
        "legs": legs,
        "unequal": len({leg.position for leg in legs}) > 1,
        "name": words.pair_name(adjuster) if len(legs) > 1 else words.adjuster_name(adjuster),
        "directions": directions(adjuster, start, most, expected_of(entry, adjuster))
        if start is not None
        else [],
        "form": form,
        "reasons": reasons,
        "reason_chosen": any(reason["chosen"] for reason in reasons),
        "before": _change_before(entry, adjuster, head),
        "is_pressure": standing.is_pressure,
        "counting": "last_set" if _is_measured(standing) else "count",
        "start": start,
        "tyre_state": form.data.get("tyre_state") or (read.reading.tyre_state if read else ""),
        "tyre_states": TyreState.choices,
        "start_aside": _start_aside(standing, read),
        **_rebound(adjuster, standings),
        "is_spring": adjuster.function == Function.SPRING,
        "picture": adjuster_ruler(adjuster, end if end is not None else start, start),
        **_movement_in_words(adjuster, start, end, most),
        **_outlook(entry, standings, legs, (start, end), form),
    }


def _outlook(
    entry: Entry,
    standings: dict[int, selectors.Standing],
    legs: list[selectors.Standing],
    step: tuple[Decimal | None, Decimal | None],
    form: Any,
) -> dict[str, Any]:
    """What should be seen of the step that was tapped; nothing before one is."""
    start, end = step
    cleaned = form.cleaned_data if isinstance(form, ChangeForm) and form.is_bound else {}
    beside = [standings[leg.pk] for leg in preload_legs(legs[0].adjuster)]
    told = None
    if start is not None and end is not None and start != end:
        moves = moved_by(legs[:1] if cleaned.get("alone") else legs, end - start)
        moves += moved_by(beside, cleaned.get("preload_by"))
        rebound = [standings[leg.pk] for leg in rebound_legs(legs[0].adjuster)]
        moves += moved_by(rebound, cleaned.get("rebound_by"))
        told = change_outlook(entry, moves, beside)
    return {"outlook": told, **preload_with_springs(beside, told, cleaned.get("preload_by"))}


def _is_measured(standing: selectors.Standing) -> bool:
    """Whether its figure is known and not counted from an end: a pressure, a spring's rate."""
    return standing.is_pressure or standing.adjuster.function == Function.SPRING


def _gauge_reading(
    standing: selectors.Standing, entry: Entry, head: BikeHeader
) -> selectors.GaugeReading | None:
    """What a pressure starts from: the gauge at this stop, where it was read since it was set."""
    if not standing.is_pressure:
        return None
    session_id = head.stop.session.pk if head.stop and head.stop.at else None
    readings = selectors.readings_of_entry(entry)
    return selectors.gauge_reading(standing, [r for r in readings if r.session_id == session_id])


def _start_aside(standing: selectors.Standing, read: selectors.GaugeReading | None) -> str:
    """Where the start of a pressure comes from, and for which state of the tyre."""
    if read:
        return " · ".join([_("by the gauge"), sentences.reading_aside(read.reading)])
    if not standing.is_pressure or standing.row is None:
        return ""
    return " · ".join(w for w in (_("last set"), standing.row.get_tyre_state_display()) if w)


def _reasons(entry: Entry, adjuster: Adjuster, form: Any) -> list[dict[str, Any]]:
    """The reasons to tap; the certain one is tapped already, unless another was sent."""
    sent = form.data.get("why") if form.is_bound else None
    shown = []
    for reason in reasons_of(entry, adjuster):
        value = f"{reason.finding}: {reason.text}"
        chosen = reason.certain if sent is None else value == sent
        shown.append({"value": value, "text": reason.text, "chosen": chosen})
    return shown


def _change_before(entry: Entry, adjuster: Adjuster, head: BikeHeader) -> str:
    """The change on this end a second one would be confounded with, as a sentence."""
    session_id = head.stop.session.pk if head.stop else None
    before = change_before(entry, end=adjuster.end, session_id=session_id)
    return (
        sentences.adjustment(before.first, both=sentences.moved_alike(before.rows))
        if before
        else ""
    )


def _rebound(adjuster: Adjuster, standings: dict[int, selectors.Standing]) -> dict[str, Any]:
    """The rebound beside a preload, where it is counted."""
    legs = [standings[leg.pk] for leg in rebound_legs(adjuster)]
    if not legs or any(leg.position is None for leg in legs):
        return {}
    steps = [(by, f"{by:+d}".replace("-", "−")) for by in (-2, -1, 1, 2)]
    return {"rebound": legs, "rebound_words": legs[0].now_words, "rebound_steps": steps}


def _target_position(form: Any, start: Decimal | None) -> Decimal | None:
    """Where the form would put the adjuster, as far as it is filled in."""
    if start is None or not isinstance(form, ChangeForm) or not form.is_bound:
        return None
    form.is_valid()
    to: Decimal | None = form.cleaned_data.get("to")
    by: Decimal | None = form.cleaned_data.get("by")
    if to is not None:
        return to
    return start + by if by is not None else None


def _movement_in_words(
    adjuster: Adjuster, start: Decimal | None, end: Decimal | None, most: Decimal | None
) -> dict[str, Any]:
    """From, to, and what forbids the movement, in words."""
    if start is None or end is None:
        return {"from_words": words.position_short(adjuster, start)}
    too_far = most is not None and limits.over_step(most, start, end)
    return {
        "from_words": words.position_short(adjuster, start),
        "to_words": words.position_short(adjuster, end),
        "moves_words": words.difference(adjuster, start, end),
        "move_effect": move_effect(adjuster, start, end),
        "past_end": not limits.in_range(adjuster, end),
        "too_far": words.amount(adjuster, most) if most and too_far else "",
        "left": words.amount(adjuster, min(end - adjuster.lowest, adjuster.highest - end)),
    }
