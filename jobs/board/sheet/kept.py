"""Kept setups side by side, and the way back to one as a list to work down."""

import uuid
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from jobs.acts.web import act_from_form
from jobs.people.access import SignedIn
from jobs.setups import selectors
from jobs.setups.enums import SetupKind
from jobs.setups.models import KeptSetup
from jobs.trackday.models import Entry

from .identity import entry_get, head_of

ARRIVED = "arrived"
LEFT = "left"  # with what it ended its last day


def setups(request: SignedIn, entry_id: int) -> HttpResponse:
    """Every kept setup of the bike beside what it stands at."""
    entry = entry_get(entry_id)
    standings = selectors.standings_of_entry(entry)
    kept = list(selectors.kept_setups_of_bike(entry.bike))
    now = {s.adjuster.pk: s.position for s in standings if s.position is not None}
    arrived = {s.adjuster.pk: s.arrived for s in standings if s.arrived is not None}
    columns: list[Mapping[int, Decimal]] = [now, arrived, *(_positions(k) for k in kept)]
    return render(
        request,
        "board/sheet/setups.html",
        {
            "entry": entry,
            "head": head_of(entry),
            "kept": kept,
            "rows": selectors.compared([s.adjuster for s in standings], columns),
            "kinds": [choice for choice in SetupKind.choices if choice[0] != SetupKind.ARRIVED],
        },
    )


def way_back(request: SignedIn, entry_id: int, target: str) -> HttpResponse:
    """The changes that bring the bike back to "arrived" or to a kept setup."""
    entry = entry_get(entry_id)
    standings = selectors.standings_of_entry(entry)
    name, positions = _target(entry, target, standings)
    if request.method == "POST":
        _step_back(request, entry, name)
        return redirect("board:sheet-back", entry_id=entry.pk, target=target)
    return render(
        request,
        "board/sheet/way_back.html",
        {
            "entry": entry,
            "head": head_of(entry),
            "name": name,
            "target": target,
            "differences": selectors.way_back(standings, positions),
            "broken": [s for s in standings if not s.adjuster.usable],
        },
    )


def _step_back(request: SignedIn, entry: Entry, name: str) -> None:
    """One step of the way back, done or ordered: going back is a change like any other."""
    ordered = request.POST.get("how") == "order"
    reason = _("back to %(name)s") % {"name": name}
    payload: dict[str, Any] = {
        "entry": entry.pk,
        "moves": [
            {
                "adjuster": adjuster,
                "from_position": request.POST.get("from"),
                "to_position": request.POST.get("to"),
            }
            for adjuster in request.POST.getlist("adjuster")
        ],
        "reason": reason,
        "step_reason": reason,
    }
    if not ordered:
        payload["read_back"] = request.POST.get("how") == "read_back"
    act_from_form(
        request, kind="order" if ordered else "change", payload=payload, trackday=entry.trackday
    )


def _target(
    entry: Entry, target: str, standings: list[selectors.Standing]
) -> tuple[str, Mapping[int, Decimal]]:
    if target == ARRIVED:
        arrived = {s.adjuster.pk: s.arrived for s in standings if s.arrived is not None}
        return _("as arrived"), arrived
    if target == LEFT:
        before = selectors.setup_before(entry)
        if before is None:
            raise Http404
        return _("as it left last time"), before.positions
    try:
        wanted = uuid.UUID(target)
    except ValueError as error:
        raise Http404 from error
    kept = next((k for k in selectors.kept_setups_of_bike(entry.bike) if k.pk == wanted), None)
    if kept is None:
        raise Http404
    return kept.name, _positions(kept)


def _positions(kept: KeptSetup) -> dict[int, Decimal]:
    return {one.adjuster_id: one.position for one in kept.positions.all()}
