"""From a bike nobody knows to its baseline: adjusters set up, then counted in one go."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Case, IntegerField, Value, When
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage import services, words
from jobs.garage.enums import Function, Leg
from jobs.garage.models import ModelSheet
from jobs.garage.usual import USUAL, Usual
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.trackday.models import Entry

from .identity import entry_get, head_of


def outfit(request: SignedIn, entry_id: int) -> HttpResponse:
    """Choose the bike's model sheet, or tick off the adjusters it has."""
    entry = entry_get(entry_id)
    if request.method == "POST":
        try:
            added = _set_up(request, entry)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, _("%(n)s adjusters set up.") % {"n": added})
            return redirect("board:sheet-baseline", entry_id=entry.pk)
    context = {
        "entry": entry,
        "head": head_of(entry),
        "sheets": _nearest_first(entry),
        "usual": [_row(usual, request) for usual in USUAL],
        "present": entry.bike.adjusters.all(),
    }
    return render(request, "board/sheet/outfit.html", context)


def _nearest_first(entry: Entry) -> Any:
    """Sheets of the same make and model on top, then of the make, then all others."""
    bike = entry.bike
    nearness = Case(
        When(make__iexact=bike.make, model__iexact=bike.model, then=Value(0)),
        When(make__iexact=bike.make, then=Value(1)),
        default=Value(2),
        output_field=IntegerField(),
    )
    return ModelSheet.objects.annotate(nearness=nearness).order_by(
        "nearness", "make", "model", "-year"
    )


def _row(usual: Usual, request: SignedIn) -> dict[str, Any]:
    return {
        "code": usual.code,
        "end": usual.end,
        "name": f"{usual.end.label} {usual.function.label}".capitalize(),
        "unit": usual.unit.label,
        "highest": request.POST.get(f"highest-{usual.code}", usual.highest),
        "legs": usual.legs,
        "on": request.POST.get(f"has-{usual.code}", ""),
    }


def _set_up(request: SignedIn, entry: Entry) -> int:
    if request.POST.get("sheet"):
        sheet = get_object_or_404(ModelSheet, pk=request.POST["sheet"])
        return len(services.bike_set_up(bike=entry.bike, sheet=sheet))
    chosen = [u for u in USUAL if request.POST.get(f"has-{u.code}")]
    if not chosen:
        raise ValidationError(_("Tick the adjusters this bike has, or choose a model sheet."))
    fields = []
    for order, usual in enumerate(chosen):
        highest = _number(request.POST.get(f"highest-{usual.code}", ""), usual)
        apart = usual.legs and request.POST.get(f"has-{usual.code}") == "legs"
        legs = (Leg.LEFT, Leg.RIGHT) if apart else (Leg.BOTH,)
        fields += [usual.fields(leg=leg, highest=highest, order=order) for leg in legs]
    return len(services.adjusters_add(bike=entry.bike, adjusters=fields))


def _number(text: str, usual: Usual) -> Decimal:
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation as error:
        raise ValidationError(
            _("%(name)s: “%(text)s” is not a number.")
            % {"name": usual.function.label, "text": text}
        ) from error


def baseline(request: SignedIn, entry_id: int) -> HttpResponse:
    """Count every adjuster in one go; what is left empty is not counted."""
    entry = entry_get(entry_id)
    standings = [
        s
        for s in selectors.standings_of_entry(entry)
        if s.adjuster.function != Function.TYRE_PRESSURE  # read with a gauge, not counted
    ]
    if request.method == "POST":
        counts, faults = _counts(request, standings)
        for fault in faults:
            messages.error(request, fault)
        if counts and not faults:
            act = act_from_form(
                request,
                kind="count",
                payload={"entry": entry.pk, "counts": counts},
                trackday=entry.trackday,
            )
            if act.outcome != Outcome.REFUSED:
                return redirect("board:sheet", entry_id=entry.pk)
    rows = [
        {
            "standing": s,
            "most": words.position_short(s.adjuster, s.adjuster.highest),
            "typed": request.POST.get(f"at-{s.adjuster.pk}", ""),
            "options": _options(s),
        }
        for s in standings
    ]
    context = {"entry": entry, "head": head_of(entry), "rows": rows}
    return render(request, "board/sheet/baseline.html", context)


def _options(standing: selectors.Standing) -> list[tuple[int, str]]:
    return [
        (int(standing.adjuster.lowest) + n, name) for n, name in enumerate(standing.adjuster.labels)
    ]


def _counts(
    request: SignedIn, standings: list[selectors.Standing]
) -> tuple[list[dict[str, Any]], list[str]]:
    counts, faults = [], []
    for standing in standings:
        text = request.POST.get(f"at-{standing.adjuster.pk}", "").strip().replace(",", ".")
        if not text:
            continue
        try:
            counts.append({"adjuster": standing.adjuster.pk, "position": str(Decimal(text))})
        except InvalidOperation:
            faults.append(
                _("%(name)s: “%(text)s” is not a number.")
                % {"name": standing.full_name, "text": text}
            )
    if not counts and not faults:
        faults.append(_("Nothing was counted: enter at least one number."))
    return counts, faults
