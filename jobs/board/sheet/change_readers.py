"""The forms that move an adjuster, or order it moved: from the sheet, its advice, the way back."""

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.acts.forms import PostedForm, checked, form_reader
from jobs.acts.registry import Payload
from jobs.advice.selectors import finding_behind
from jobs.garage.enums import Function
from jobs.garage.models import Adjuster
from jobs.trackday.models import Entry

from .forms import ChangeForm

ORDER_WORDS = ("reason", "step_reason", "second_reason", "tyre_state")
CHANGE_WORDS = (*ORDER_WORDS, "oil", "oil_reason")
# Carried out by order, a change has the order's own unless the form says otherwise.
EXPECTED = ("expectation", "condition")
READ_BACK = "read_back"


@form_reader("change", works_out=("finding",))
def change_read(form: PostedForm) -> Payload:
    if "from" in form.fields:
        return {**_listed(form, CHANGE_WORDS), "read_back": form.get("how") == READ_BACK}
    panel = checked(ChangeForm(form.fields))
    order = panel.cleaned_data["order"]
    return {
        **_of_panel(form, panel, CHANGE_WORDS),
        "order": str(order) if order else None,
        "read_back": panel.cleaned_data["how"] == READ_BACK,
    }


@form_reader("order", works_out=("finding",))
def order_read(form: PostedForm) -> Payload:
    if "from" in form.fields:
        return _listed(form, ORDER_WORDS)
    return _of_panel(form, checked(ChangeForm(form.fields)), ORDER_WORDS)


def _listed(form: PostedForm, words: tuple[str, ...]) -> Payload:
    """Each adjuster with where it starts and ends; legs alike have one start and end."""
    adjusters, starts, ends = (form.getlist(name) for name in ("adjuster", "from", "to"))
    if len(starts) == len(ends) == 1:
        starts, ends = starts * len(adjusters), ends * len(adjusters)
    return {
        "entry": form.get("entry"),
        "moves": [
            {"adjuster": adjuster, "from_position": start, "to_position": end}
            for adjuster, start, end in zip(adjusters, starts, ends, strict=False)
        ],
        **{name: form.get(name) for name in (*words, *EXPECTED) if name in form.fields},
        "finding": form.get("finding") or None,
    }


def _of_panel(form: PostedForm, panel: ChangeForm, words: tuple[str, ...]) -> Payload:
    """One adjuster by so many steps or to a position, with its other leg and its rebound."""
    entry = form.row(Entry.objects.select_related("bike", "trackday"), "entry")
    adjuster = form.row(Adjuster.objects.filter(bike=entry.bike_id), "adjuster")
    legs = legs_of(adjuster, alone=panel.cleaned_data["alone"])
    cleaned = panel.cleaned_data
    try:
        moves = panel.ordered_moves() or panel.moves(legs)
        moves += panel.moves_with_it(cleaned["rebound_by"], rebound_legs(adjuster))
        moves += panel.moves_with_it(cleaned["preload_by"], preload_legs(adjuster))
    except (KeyError, ValueError, ArithmeticError) as error:
        raise ValidationError(_("The page did not say where the adjuster stood.")) from error
    said = panel.payload(tuple(name for name in EXPECTED if panel.says(name)))
    finding, reason = panel.reason_given()
    worded = panel.payload(words)
    if cleaned["preload_by"] and not worded["step_reason"]:
        worded["step_reason"] = _("with other springs")
    return {
        "entry": entry.pk,
        "moves": moves,
        **worded,
        "reason": reason,
        **said,
        "finding": finding or finding_behind(entry, adjuster, said.get("expectation", "")),
    }


def legs_of(adjuster: Adjuster, *, alone: bool) -> list[Adjuster]:
    """Both legs of a pair, the tapped one first, unless this leg alone is meant."""
    if adjuster.pair is None or alone:
        return [adjuster]
    others = Adjuster.objects.filter(bike=adjuster.bike_id, pair=adjuster.pair)
    return [adjuster, *others.exclude(pk=adjuster.pk)]


def rebound_legs(adjuster: Adjuster) -> list[Adjuster]:
    """What is checked with a preload: the rebound of the same end; nothing for others."""
    if adjuster.function != Function.PRELOAD:
        return []
    return _of_the_same_end(adjuster, Function.REBOUND)


def preload_legs(adjuster: Adjuster) -> list[Adjuster]:
    """What is set with other springs: the preload of the same end; nothing for others."""
    if adjuster.function != Function.SPRING:
        return []
    return _of_the_same_end(adjuster, Function.PRELOAD)


def _of_the_same_end(adjuster: Adjuster, function: Function) -> list[Adjuster]:
    same_end = Adjuster.objects.filter(bike=adjuster.bike_id, end=adjuster.end, usable=True)
    return list(same_end.filter(function=function))
