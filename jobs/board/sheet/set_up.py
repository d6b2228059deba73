"""A new bike: its adjusters are set up, then counted together as the baseline."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Case, IntegerField, Value, When
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.acts.enums import Outcome
from jobs.acts.web import act_from_form
from jobs.garage import services, words
from jobs.garage.enums import Function, Leg
from jobs.garage.models import ModelSheet
from jobs.garage.usual_adjusters import USUAL_ADJUSTERS, UsualAdjuster
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.trackday.models import Entry

from .bike_header import bike_header_of, entry_get
from .form_readers import AT


def _set_up_words(added: int) -> str:
    words = ngettext("%(n)d adjuster set up.", "%(n)d adjusters set up.", added)
    return words % {"n": added}


def set_up(request: SignedIn, entry_id: int) -> HttpResponse:
    """Choose the bike's model sheet, or tick off the adjusters it has."""
    entry = entry_get(entry_id)
    if request.method == "POST":
        try:
            added = _set_up(request, entry)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, _set_up_words(added))
            return redirect("board:sheet-baseline", entry_id=entry.pk)
    context = {
        "entry": entry,
        "head": bike_header_of(entry),
        "sheets": _nearest_first(entry),
        "usual": [_row(usual, request) for usual in USUAL_ADJUSTERS],
        "present": entry.bike.adjusters.all(),
    }
    return render(request, "board/sheet/set_up.html", context)


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


def _row(usual: UsualAdjuster, request: SignedIn) -> dict[str, Any]:
    return {
        "code": usual.code,
        "end": usual.end,
        "name": words.at_end(usual.end.label, usual.function.label),
        "unit": usual.unit.label,
        "highest": request.POST.get(f"highest-{usual.code}", usual.highest),
        "legs": usual.legs,
        "on": request.POST.get(f"has-{usual.code}", ""),
    }


def _set_up(request: SignedIn, entry: Entry) -> int:
    if request.POST.get("sheet"):
        sheet = get_object_or_404(ModelSheet, pk=request.POST["sheet"])
        return len(services.bike_set_up(bike=entry.bike, sheet=sheet))
    chosen = [u for u in USUAL_ADJUSTERS if request.POST.get(f"has-{u.code}")]
    if not chosen:
        raise ValidationError(_("Tick the adjusters this bike has, or choose a model sheet."))
    fields = []
    for order, usual in enumerate(chosen):
        highest = _number(request.POST.get(f"highest-{usual.code}", ""), usual)
        apart = usual.legs and request.POST.get(f"has-{usual.code}") == "legs"
        legs = (Leg.LEFT, Leg.RIGHT) if apart else (Leg.BOTH,)
        fields += [usual.fields(leg=leg, highest=highest, order=order) for leg in legs]
    return len(services.adjusters_add(bike=entry.bike, adjusters=fields))


def _number(text: str, usual: UsualAdjuster) -> Decimal:
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
        about = {"entry": entry.pk}
        try:
            act = act_from_form(request, kind="count", about=about, trackday=entry.trackday)
            if act.outcome != Outcome.REFUSED:
                return redirect("board:sheet", entry_id=entry.pk)
        except ValidationError as error:
            for fault in error.messages:
                messages.error(request, fault)
    rows = [
        {
            "standing": s,
            "most": words.position_short(s.adjuster, s.adjuster.highest),
            "typed": request.POST.get(f"{AT}{s.adjuster.pk}", ""),
            "options": _options(s),
        }
        for s in standings
    ]
    context = {"entry": entry, "head": bike_header_of(entry), "rows": rows}
    return render(request, "board/sheet/baseline.html", context)


def _options(standing: selectors.Standing) -> list[tuple[int, str]]:
    return [
        (int(standing.adjuster.lowest) + n, name) for n, name in enumerate(standing.adjuster.labels)
    ]
